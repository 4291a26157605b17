"""The window for the tests that need one; without a display they are skipped."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING

import pytest

from tests.mobile.window import TestWindow, open_window

if TYPE_CHECKING:
    from collections.abc import Iterator


def why_no_window() -> str | None:
    """Why no window can be opened here, or None where one can."""
    if sys.platform.startswith("linux") and not os.environ.get("DISPLAY"):
        return "there is no display: run under xvfb-run, as tests/run does"
    try:
        import kivy  # noqa: F401
    except ImportError:
        return "Kivy is not installed: pip install '.[screens]'"
    return None


@pytest.fixture(scope="session")
def one_window() -> Iterator[TestWindow]:
    """The window of this run."""
    why = why_no_window()
    if why is not None:
        pytest.skip(why)
    window = open_window()
    yield window
    window.close()


@pytest.fixture
def window(one_window: TestWindow) -> Iterator[TestWindow]:
    """The window, empty before and after."""
    yield one_window
    one_window.clear()
    one_window.frames()
