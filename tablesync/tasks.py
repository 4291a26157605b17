"""Tasks beside the one that runs, and their end."""

from __future__ import annotations

import asyncio
from contextlib import suppress
from typing import Any

__all__ = ["call_off"]


async def call_off(*tasks: asyncio.Task[Any]) -> None:
    """Cancels the tasks one after the other, and waits until each has ended.

    Raises:
        Exception: what one of them ended with that had ended by itself.
    """
    for task in tasks:
        task.cancel()
        with suppress(asyncio.CancelledError):
            await task
