"""Where a window opens: its size, and its corner where two stand side by side."""

from __future__ import annotations

import re

from tablesync.frozen import dataclass

__all__ = ["WIDE", "WindowPlace", "screen_size", "side_by_side", "window_named"]

_NAMED = re.compile(r"(\d+)x(\d+)\+(\d+)\+(\d+)")
WIDE = (1280, 800)
BARS = 80
"""What a desktop's own bars and a window's title take of the height."""
STEP = 60
"""How far the second window is moved where there is no room beside the first."""
LEAST_WIDTH = 600


@dataclass(frozen=True, slots=True)
class WindowPlace:
    """The place of a window on its screen, in pixels."""

    size: tuple[int, int]
    corner: tuple[int, int]
    """Left and top."""

    def __str__(self) -> str:
        width, height = self.size
        left, top = self.corner
        return f"{width}x{height}+{left}+{top}"


def window_named(text: str) -> WindowPlace:
    """The place that is written as WIDTHxHEIGHT+LEFT+TOP.

    Raises:
        ValueError: it is written in another way.
    """
    named = _NAMED.fullmatch(text)
    if named is None:
        raise ValueError(text)
    width, height, left, top = map(int, named.groups())
    return WindowPlace((width, height), (left, top))


def side_by_side(screen: tuple[int, int] | None) -> tuple[WindowPlace, WindowPlace]:
    """The places of two windows: beside each other, else one a little behind.

    Args:
        screen: its size, or None where that is not known.
    """
    if screen is None or screen[0] // 2 < LEAST_WIDTH:
        return WindowPlace(WIDE, (0, 0)), WindowPlace(WIDE, (STEP, STEP))
    width, height = screen[0] // 2, screen[1] - BARS
    size = (min(WIDE[0], width), min(WIDE[1], height))
    return WindowPlace(size, (0, 0)), WindowPlace(size, (width, 0))


def screen_size() -> tuple[int, int] | None:
    """The size of this machine's screen, or None where nobody can tell."""
    try:
        import tkinter
    except ImportError:
        return None
    try:
        screen = tkinter.Tk()
    except tkinter.TclError:
        return None
    size = screen.winfo_screenwidth(), screen.winfo_screenheight()
    screen.destroy()
    return size
