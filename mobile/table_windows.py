"""Opens a whole table on one machine: a relay, and a window for each seat."""

from __future__ import annotations

import asyncio
import os
import sys
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from mobile.folders import DeviceFolder
from mobile.window_place import screen_size, side_by_side
from tablesync.clock import MonotonicClock
from tablesync.core.acts import Seat
from tablesync.frozen import dataclass
from tablesync.server import serve
from tablesync.store import Store
from tablesync.sync.timing import Timing

if TYPE_CHECKING:
    from collections.abc import Callable

    from mobile.window_place import WindowPlace

__all__ = ["Table", "open_table"]

SEATS = (Seat.BOOK, Seat.CLOCK)


@dataclass(frozen=True, slots=True)
class Table:
    """What a table opens with."""

    game: Path
    """The game sheet or scenario that says who plays."""
    folder: Path | None = None
    """Where relay and seats keep what is entered; None for one that is then gone."""
    host: str = "127.0.0.1"
    """The address at which the relay listens, so that others can look on."""
    port: int = 0
    """Its port; 0 takes a free one."""
    script: Path | None = None
    """A scenario that the seats play by themselves, for somebody to look at."""


def open_table(table: Table, told: Callable[[str], None]) -> int:
    """Opens the table, and returns when both windows are closed.

    Args:
        table: what it opens with.
        told: given the relay's address once it listens.

    Returns:
        The exit status: 0 where both windows were closed by their officials.

    Raises:
        BadInputError: the host or port can't be had.
        StorageError: the folder can't be written.
    """
    if table.folder is not None:
        return asyncio.run(_open_table(table, table.folder, told))
    with TemporaryDirectory(prefix="tablesync-") as passing:
        return asyncio.run(_open_table(table, Path(passing), told))


async def _open_table(table: Table, folder: Path, told: Callable[[str], None]) -> int:
    for seat in SEATS:
        DeviceFolder(folder / seat).make()
    async with (
        await Store.open(folder / "relay.db") as store,
        await serve(store, MonotonicClock(), Timing(), table.host, table.port) as relay,
    ):
        told(relay.address)
        places = side_by_side(screen_size())
        windows = [
            await _window(table, seat, place, (relay.address, folder / seat))
            for seat, place in zip(SEATS, places, strict=True)
        ]
        try:
            statuses = await asyncio.gather(*(one.wait() for one in windows))
        finally:
            for one in windows:
                if one.returncode is None:
                    one.terminate()
                    await one.wait()
    return max(statuses)


async def _window(
    table: Table, seat: Seat, place: WindowPlace, device: tuple[str, Path]
) -> asyncio.subprocess.Process:
    """Opens a seat's window in a process of its own: Kivy has one in each."""
    relay, home = device
    script = () if table.script is None else ("--script", table.script)
    return await asyncio.create_subprocess_exec(
        *(sys.executable, "-m", "mobile.main", seat),
        *("--relay", relay, "--game", table.game, "--window", str(place), *script),
        env={**os.environ, "TABLESYNC_HOME": str(home)},
    )
