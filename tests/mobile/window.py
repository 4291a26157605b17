"""A real Kivy window on whatever display there is, driven frame by frame."""

from __future__ import annotations

import asyncio
import os
import time
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable

    import numpy.typing as npt

__all__ = ["TestWindow", "open_window"]

FRAMES_TO_SETTLE = 6
"""Layouts within layouts need some frames until everything is in its place."""
PATIENCE_S = 10.0


def open_window() -> TestWindow:
    """Opens the one window that a process can have."""
    os.environ.update(
        KIVY_NO_ARGS="1",
        KIVY_NO_CONSOLELOG="1",
        KIVY_NO_FILELOG="1",
        KIVY_NO_CONFIG="1",
        KIVY_METRICS_DENSITY="1",
        KIVY_METRICS_FONTSCALE="1",
    )
    from mobile.kivy_settings import apply_settings

    apply_settings((1280, 800))
    from kivy.config import Config

    # Tests wait for frames, not for the time that frames take on a screen.
    Config.set("graphics", "maxfps", "0")
    Config.set("graphics", "vsync", "0")
    from kivy.base import EventLoop, runTouchApp
    from kivy.uix.floatlayout import FloatLayout

    EventLoop.ensure_window()
    root = FloatLayout()
    runTouchApp(root, embedded=True)
    return TestWindow(root)


class TestWindow:
    """Shows one widget, lets frames pass, touches it and looks at it."""

    __test__ = False

    def __init__(self, root: Any) -> None:
        from kivy.base import EventLoop

        self._root = root
        self._loop = EventLoop
        self._window = EventLoop.window
        self._touches = 0
        self.loop = asyncio.new_event_loop()
        """For what has to be awaited between two frames."""

    def close(self) -> None:
        """Ends the loop; the window ends with the process."""
        self.loop.close()

    def show(self, widget: Any, size: tuple[int, int]) -> None:
        """Shows a widget that fills a window of this size."""
        self.clear()
        self.resize(size)
        self._root.add_widget(widget)
        self.frames(FRAMES_TO_SETTLE)

    def resize(self, size: tuple[int, int]) -> None:
        """Makes the window this large, and waits until it is."""
        self._window.size = size
        self.until(lambda: tuple(self._window.size) == size)
        self.until(lambda: tuple(self._root.size) == size)
        self.frames(FRAMES_TO_SETTLE)

    def clear(self) -> None:
        """Shows nothing."""
        self._root.clear_widgets()

    def frames(self, count: int = 1) -> None:
        """Lets so many frames pass."""
        for _ in range(count):
            self._loop.idle()

    def until(self, is_so: Callable[[], bool]) -> None:
        """Lets frames pass until something is so."""
        give_up_s = time.monotonic() + PATIENCE_S
        while not is_so():
            assert time.monotonic() < give_up_s, "it never came to be so"
            self._loop.idle()

    def picture(self) -> npt.NDArray[np.uint8]:
        """What the window shows, row by row from the top."""
        from kivy.graphics.opengl import (
            GL_RGB,
            GL_UNSIGNED_BYTE,
            glFinish,
            glReadPixels,
        )

        self.frames(2)
        self._window.dispatch("on_draw")
        glFinish()
        width, height = self._window.size
        pixels = glReadPixels(0, 0, width, height, GL_RGB, GL_UNSIGNED_BYTE)
        shape = (height, width, 3)
        rows = np.frombuffer(pixels, dtype=np.uint8).reshape(shape)
        return np.ascontiguousarray(rows[::-1])

    def down(self, pos: tuple[float, float], device: str = "test") -> Any:
        """Puts a finger down, and gives the touch to lift it with."""
        from kivy.input.motionevent import MotionEvent

        class Finger(MotionEvent):  # type: ignore[misc]
            def depack(self, args: Any) -> None:
                self.profile = ("pos",)
                self.is_touch = True
                self.sx, self.sy = args
                super().depack(args)

        self._touches += 1
        width, height = self._window.size
        place = (pos[0] / width, pos[1] / height)
        touch = Finger(device, self._touches, place)
        touch.is_touch = True
        self._loop._dispatch_input("begin", touch)
        return touch

    def move(self, touch: Any, pos: tuple[float, float]) -> None:
        """Moves a finger that is down."""
        width, height = self._window.size
        touch.move((pos[0] / width, pos[1] / height))
        self._loop._dispatch_input("update", touch)

    def up(self, touch: Any) -> None:
        """Lifts a finger."""
        self._loop._dispatch_input("end", touch)

    def touch(self, pos: tuple[float, float]) -> None:
        """Touches a place, a frame between down and up."""
        touch = self.down(pos)
        self.frames()
        self.up(touch)
        self.frames(2)

    def code_of(self, name: str) -> int:
        """The code of a key of the keyboard by its name."""
        from kivy.core.window import Keyboard

        return int(Keyboard.keycodes[name])

    def count_touches_once(self) -> Any:
        """Puts between devices and widgets what stands there in the program."""
        from mobile.touch_input import TouchInput

        sieve = TouchInput(tuple(self._window.size))
        self._loop.add_postproc_module(sieve)
        return sieve

    def stop_counting(self, sieve: Any) -> None:
        """Takes it away again."""
        self._loop.remove_postproc_module(sieve)
