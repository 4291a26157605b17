"""Whether this machine can open windows."""

from __future__ import annotations

import os
import sys
from importlib.util import find_spec

from tablesync.errors import BadInputError

__all__ = ["require_screens", "why_no_screens"]


def why_no_screens() -> BadInputError | None:
    """Why this machine can't open windows, with what to do; None where it can."""
    if find_spec("kivy") is None:
        return BadInputError(
            "screens", "Kivy is not installed", "pip install 'tablesync[screens]'"
        )
    has_display = os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")
    if sys.platform.startswith("linux") and not has_display:
        return BadInputError("screens", "there is no display", "a desktop, or DISPLAY")
    return None


def require_screens() -> None:
    """Makes sure that windows can be opened.

    Raises:
        BadInputError: they can't, with what to do.
    """
    why = why_no_screens()
    if why is not None:
        raise why
