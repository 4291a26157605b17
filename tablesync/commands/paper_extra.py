"""Whether this machine can write PDF."""

from __future__ import annotations

from importlib.util import find_spec

from tablesync.errors import BadInputError

__all__ = ["require_paper"]


def require_paper() -> None:
    """Makes sure that what writes PDF is installed.

    Raises:
        BadInputError: it is not, with how to install it.
    """
    if find_spec("fpdf") is None or find_spec("font_roboto") is None:
        raise BadInputError(
            "--pdf", "what writes PDF is not installed", 'the extra "tablesync[paper]"'
        )
