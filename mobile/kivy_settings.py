"""How Kivy is set up, before anything else of it is imported."""

from __future__ import annotations

import logging
import os
from pathlib import Path

from tablesync.errors import BadInputError

__all__ = ["apply_settings"]

FRAMES_PER_SECOND = 120
"""How often a finger is looked for, and anything new is drawn; a frame in which nothing
is new is not drawn."""

TALKATIVE = ("aiosqlite", "asyncio", "websockets")
"""What tells each statement and frame with all that is in it, the device's key too."""


def apply_settings(
    size: tuple[int, int], corner: tuple[int, int] | None = None
) -> None:
    """Sets Kivy up for the officials' screens; call it before any import of Kivy.

    Kivy would take this program's arguments for its own, end the program at Esc, draw
    red dots at a right click, and open the mouse beside the touch screen that reports
    the same finger.

    Args:
        size: of the window, in pixels.
        corner: its left and top on the screen; None where the desktop puts it.

    Raises:
        BadInputError: the folder in which Kivy keeps its own settings can't be made.
    """
    _make_kivys_folder()
    os.environ["KIVY_NO_ARGS"] = "1"
    os.environ.setdefault("KIVY_NO_FILELOG", "1")
    os.environ.setdefault("KIVY_NO_CONSOLELOG", "1")
    from kivy.config import Config

    # Kivy has everything told that anybody would tell.
    for name in TALKATIVE:
        logging.getLogger(name).setLevel(logging.WARNING)
    width, height = size
    Config.set("graphics", "width", str(width))
    Config.set("graphics", "height", str(height))
    if corner is not None:
        left, top = corner
        Config.set("graphics", "position", "custom")
        Config.set("graphics", "left", str(left))
        Config.set("graphics", "top", str(top))
    # The strokes are drawn smooth; smoothing all of it again halves the speed.
    Config.set("graphics", "multisamples", "0")
    Config.set("graphics", "maxfps", str(FRAMES_PER_SECOND))
    Config.set("kivy", "exit_on_escape", "0")
    Config.set("kivy", "pause_on_minimize", "0")
    Config.remove_section("input")
    Config.add_section("input")
    Config.set("input", "mouse", "mouse,disable_on_activity")


def _make_kivys_folder() -> None:
    """Kivy would end the program over it, and what it says is not shown."""
    folder = Path(os.environ.get("KIVY_HOME") or "~/.kivy").expanduser()
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadInputError(
            str(folder),
            str(error.strerror),
            "a place where a folder can be made, or another in KIVY_HOME",
        ) from error
