"""Hypothesis profiles, and the rules that every asynchronous test is held to."""

from __future__ import annotations

import asyncio
import inspect
import os
import threading
from typing import TYPE_CHECKING

import pytest
from blockbuster import blockbuster_ctx
from hypothesis import HealthCheck, settings

if TYPE_CHECKING:
    from collections.abc import AsyncIterator, Iterator

# What is printed must not depend on the terminal that the tests happen to run in.
os.environ["TERM"] = "xterm-256color"
for setting in ("NO_COLOR", "FORCE_COLOR", "COLUMNS", "LINES"):
    os.environ.pop(setting, None)

# Kivy would take the root logger over, and write to the terminal from then on.
os.environ["KIVY_LOG_MODE"] = "PYTHON"

# A slow or busy machine is no reason to fail, so no example has a deadline.
settings.register_profile(
    "quick",
    max_examples=40,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.register_profile(
    "ci", settings.get_profile("quick"), max_examples=100, print_blob=True
)
settings.load_profile("ci" if "CI" in os.environ else "quick")


@pytest.fixture(autouse=True)
def _fair_play(request: pytest.FixtureRequest) -> Iterator[None]:
    """Fails an asynchronous test that blocks the loop, or leaves a task or thread."""
    if not inspect.iscoroutinefunction(getattr(request.node, "obj", None)):
        yield
        return
    threads = set(threading.enumerate())
    request.getfixturevalue("_no_task_left")
    with blockbuster_ctx():
        yield
    left = {thread for thread in set(threading.enumerate()) - threads if _stays(thread)}
    assert not left, f"the test leaves threads: {left}"


def _stays(thread: threading.Thread) -> bool:
    # The loop's own pool ends with the loop, which is after this.
    if thread.name.startswith("asyncio_"):
        return False
    thread.join(timeout=1.0)
    return thread.is_alive()


@pytest.fixture
async def _no_task_left() -> AsyncIterator[None]:
    yield
    left = asyncio.all_tasks() - {asyncio.current_task()}
    assert not left, f"the test leaves tasks: {left}"
