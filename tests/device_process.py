"""A device as a process of its own: enters notes until it is killed.

    python -m tests.device_process JOURNAL ADDRESS [POINT COUNT]

Prints `has DIGEST` for every own entry found in the journal at the start, then
`entered DIGEST` for each entry once it counts. It kills itself when it comes to the
fault point for the COUNTth time, if one is given.
"""

from __future__ import annotations

import asyncio
import sys
from contextlib import nullcontext
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING

from tablesync.client import DeviceSession
from tablesync.clock import MonotonicClock
from tablesync.core.acts import Note, Seat
from tablesync.errors import UnbegunJournalError
from tablesync.fault_points import armed
from tablesync.journal import Journal
from tablesync.seal import DeviceKey
from tablesync.sheet_bytes import game_id
from tablesync.sync.claim import Claim
from tablesync.sync.timing import Timing
from tests.killing import killing_at
from tests.sync.table import SHEET

if TYPE_CHECKING:
    from tablesync.core.entries import Entry

__all__ = ["CLAIM"]

CLAIM = Claim(DeviceKey(b"p" * 32), game_id(SHEET), Seat.CLOCK, SHEET)


def say(word: str, entry: Entry) -> None:
    sys.stdout.write(f"{word} {entry.digest.hex()}\n")
    sys.stdout.flush()


async def run(path: Path, address: str) -> None:
    is_known = await asyncio.to_thread(path.exists)
    try:
        begun = Journal.open(path) if is_known else Journal.create(path, CLAIM)
        journal = await begun
    except UnbegunJournalError:
        journal = await Journal.create(path, CLAIM)
    async with await DeviceSession.open(journal, MonotonicClock(), Timing()) as session:
        for entry in session.game.history:
            if entry.id.device == CLAIM.key.device:
                say("has", entry)
        keeping = asyncio.create_task(session.keep_connected(address, Random(1)))
        await session.wait_for(lambda: session.is_linked)
        while not keeping.done():
            entry = await session.enter(Note("on record"))
            say("entered", entry)


if __name__ == "__main__":
    path, address, *trap = sys.argv[1:]
    with armed(killing_at(trap[0], int(trap[1]))) if trap else nullcontext():
        asyncio.run(run(Path(path), address))
