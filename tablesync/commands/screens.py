"""Whether this machine can open windows."""

from __future__ import annotations

from importlib.util import find_spec

from tablesync.errors import BadInputError

__all__ = ["require_screens"]


def require_screens() -> None:
    """Makes sure that the screens are installed.

    Raises:
        BadInputError: they are not, with how to install them.
    """
    if find_spec("kivy") is None:
        raise BadInputError(
            "screens", "Kivy is not installed", "pip install 'tablesync[screens]'"
        )
