"""Opens the director's window: all courts of a relay."""

from __future__ import annotations

import asyncio
from functools import partial

from mobile.folders import DeviceFolder
from mobile.kivy_settings import apply_settings
from mobile.settings import load_settings
from mobile.window_place import WIDE

__all__ = ["open_director"]


def open_director(relay: str) -> None:
    """Opens the window of all courts of a relay; returns when it is closed.

    It enters nothing and keeps nothing; it can let in a device that waits for a seat.

    Args:
        relay: the relay's address.
    """
    apply_settings(WIDE)
    asyncio.run(_open_director(relay))


async def _open_director(relay: str) -> None:
    from mobile.app import TableWindow
    from mobile.court_watch import CourtWatch
    from mobile.director_desk import direct
    from tablesync.clock import MonotonicClock

    settings = load_settings(DeviceFolder.of_this_device().settings)
    watch = CourtWatch(relay, MonotonicClock())
    program = partial(direct, watch=watch, settings=settings)
    await TableWindow("tablesync: courts").run_program(program)
