"""The one window of the program, and what is shown in it one after the other.

Kivy and the device session share one loop, so a screen never waits for another thread.
"""

from __future__ import annotations

import asyncio
import gc
from collections.abc import Callable, Coroutine
from typing import TYPE_CHECKING, Any, TypeAlias

from kivy.app import App
from kivy.base import EventLoop
from kivy.clock import Clock
from kivy.core.window import Window
from kivy.uix.floatlayout import FloatLayout

from mobile.touch_input import TouchInput
from tablesync.errors import TableSyncError
from tablesync.tasks import call_off

if TYPE_CHECKING:
    from kivy.uix.widget import Widget

    from mobile.stage import Stage

__all__ = ["Company", "TableWindow", "sit_down"]

Company: TypeAlias = Callable[[Callable[[], None]], Coroutine[Any, Any, None]]
"""What runs beside a seat; it is given what to call when something has changed."""

REFRESH_S = 0.05
"""The clock shows tenths, and what others enter is seen within this time."""


class TableWindow(App):
    """The window. A program run in it shows one widget after the other."""

    def __init__(self, title: str) -> None:
        super().__init__()
        self.title = title
        self._place = FloatLayout()
        self._shown = asyncio.Event()
        self._touches = TouchInput(Window.size)

    def build(self) -> FloatLayout:
        """Ties the window to the touches."""
        EventLoop.add_postproc_module(self._touches)
        Window.bind(size=self._resized)
        Window.allow_screensaver = False
        return self._place

    def show(self, widget: Widget) -> None:
        """Shows a widget in place of what was there."""
        self._place.clear_widgets()
        self._place.add_widget(widget)
        self._shown.set()
        Window.bind(on_flip=self._keep)

    def _keep(self, *_: object) -> None:
        """What is drawn now stays: looking through all of it would hold up a touch."""
        Window.unbind(on_flip=self._keep)
        gc.freeze()
        gc.enable()

    async def run_program(
        self, program: Callable[[TableWindow], Coroutine[Any, Any, None]]
    ) -> None:
        """Runs a program in the window, until it ends or the window is closed."""
        running = asyncio.create_task(program(self))
        try:
            await self._first_shown(running)
            if not running.done():
                running.add_done_callback(lambda _: self.stop())
                await self.async_run(async_lib="asyncio")
        finally:
            EventLoop.remove_postproc_module(self._touches)
            await call_off(running)

    async def _first_shown(self, running: asyncio.Task[None]) -> None:
        """Waits until there is something to draw: each step would wait for a frame."""
        shown = asyncio.create_task(self._shown.wait())
        await asyncio.wait([running, shown], return_when=asyncio.FIRST_COMPLETED)
        await call_off(shown)

    def on_pause(self) -> bool:
        """Stays as it is while another program is in front: nothing is lost."""
        return True

    def _resized(self, _window: object, size: tuple[int, int]) -> None:
        self._touches.size = size


async def sit_down(window: TableWindow, stage: Stage, company: Company) -> None:
    """Shows a seat and lets it work, until its official leaves it."""
    window.show(stage.frame)
    stage.refresh()
    Window.bind(on_key_down=stage.key_down, on_key_up=stage.key_up)
    Window.bind(focus=stage.focus_changed)
    beat = Clock.schedule_interval(stage.refresh, REFRESH_S)
    # However much comes in before the next frame, it is shown once.
    refresh = Clock.create_trigger(stage.refresh, -1)
    working = asyncio.create_task(stage.shell.work(refresh))
    leaving = asyncio.create_task(stage.shell.left.wait())
    accompanying = asyncio.create_task(_accompany(stage, company(refresh)))
    beside = [working, leaving, accompanying]
    try:
        await asyncio.wait([working, leaving], return_when=asyncio.FIRST_COMPLETED)
        if working.done():
            working.result()
        await stage.shell.settled()
    finally:
        beat.cancel()
        Window.unbind(on_key_down=stage.key_down, on_key_up=stage.key_up)
        Window.unbind(focus=stage.focus_changed)
        await call_off(*beside)


async def _accompany(stage: Stage, company: Coroutine[Any, Any, None]) -> None:
    try:
        await company
    except TableSyncError as error:
        # The official goes on with the paper; the screen says why, and stays.
        stage.shell.report(error)
        stage.refresh()
