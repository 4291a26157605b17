"""Opens the director's window: all courts of a relay."""

from __future__ import annotations

import asyncio
from functools import partial
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from mobile.folders import DeviceFolder
from mobile.kivy_settings import apply_settings
from mobile.settings import load_settings
from mobile.window_place import WIDE

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tablesync.core.sheet import GameSheet

__all__ = ["open_director"]


def open_director(relay: str, sheets: Sequence[GameSheet]) -> None:
    """Opens the window of all these games at a relay; returns when it is closed.

    It enters nothing and keeps nothing.

    Args:
        relay: the relay's address.
        sheets: the games of the courts, whether or not they have begun.

    Raises:
        StorageError: what comes in can't be kept while it is watched.
    """
    apply_settings(WIDE)
    asyncio.run(_open_director(relay, sheets))


async def _open_director(relay: str, sheets: Sequence[GameSheet]) -> None:
    from mobile.app import TableWindow
    from mobile.court_watch import CourtWatch
    from mobile.director_desk import direct

    settings = load_settings(DeviceFolder.of_this_device().settings)
    with TemporaryDirectory(prefix="tablesync-") as folder:
        async with CourtWatch(relay, Path(folder), Random()) as watch:
            await watch.look_at(sheets)
            program = partial(direct, watch=watch, settings=settings)
            await TableWindow("tablesync: courts").run_program(program)
