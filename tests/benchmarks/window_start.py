"""Opens one window and says how far it is, up to its first frame; then it ends.

python -m tests.benchmarks.window_start bare|seat

`start_figures` and `bench_window` run it.
"""

from __future__ import annotations

import os
import sys
import time
from typing import Any

from mobile import kivy_settings
from mobile.kivy_settings import apply_settings
from mobile.window_place import WIDE

__all__ = ["BEGAN", "DRAWN", "FIRST_FRAME", "OPEN", "SET_UP", "SHOWN", "UP"]

BEGAN = "WINDOW_START_BEGAN"
"""The variable with the time, by the wall, at which the process was asked for."""
GAME = "tablesync/demo.jsonl"
UP, SET_UP, OPEN = "python is up", "kivy is set up", "the window is open"
SHOWN, DRAWN, FIRST_FRAME = "there is something to show", "drawn", "first frame"
"""The moments, each said with the seconds from the beginning."""
BUTTONS = 60


def _say(moment: str) -> None:
    print(f"{moment}:", time.time() - float(os.environ[BEGAN]), flush=True)


def _say_and_end(*_: object) -> None:
    from kivy.graphics.opengl import glFinish

    _say(DRAWN)
    glFinish()
    _say(FIRST_FRAME)
    os._exit(0)


def _open_bare() -> None:
    """Nothing but Kivy: as many buttons as a seat's screen has keys."""
    _say(SET_UP)
    apply_settings(WIDE)
    from kivy.app import App
    from kivy.core.window import Window
    from kivy.uix.button import Button
    from kivy.uix.gridlayout import GridLayout

    _say(OPEN)

    class Bare(App):  # type: ignore[misc]
        def build(self) -> Any:
            _say(SHOWN)
            grid = GridLayout(cols=10)
            for number in range(BUTTONS):
                grid.add_widget(Button(text=str(number)))
            Window.bind(on_flip=_say_and_end)
            return grid

    Bare().run()


def _open_seat() -> None:
    """What `tablesync seat book` opens, up to the frame with the seat's keys."""
    from tablesync.cli import main

    setattr(kivy_settings, "apply_settings", _apply_settings_and_watch)  # noqa: B010
    main(["seat", "book", "--game", GAME])


def _apply_settings_and_watch(*places: tuple[int, int]) -> None:
    """The program's own first step with Kivy, before which nothing of it is there."""
    _say(SET_UP)
    apply_settings(*places)
    from kivy.core.window import Window

    _say(OPEN)
    from mobile.app import TableWindow

    show = TableWindow.show

    def show_and_watch(self: TableWindow, widget: Any) -> None:
        from mobile.widgets.key import Key

        def end_with_keys(*_: object) -> None:
            keys = [one for one in widget.walk() if isinstance(one, Key)]
            if keys and min(key.width for key in keys) > 0:
                _say_and_end()

        _say(SHOWN)
        show(self, widget)
        Window.bind(on_flip=end_with_keys)

    setattr(TableWindow, "show", show_and_watch)  # noqa: B010 - mypy sees a method


if __name__ == "__main__":
    _say(UP)
    {"bare": _open_bare, "seat": _open_seat}[sys.argv[1]]()
