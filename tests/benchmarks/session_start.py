"""Takes up a seat's session from its journal, then ends; `start_figures` runs it.

python -m tests.benchmarks.session_start JOURNAL
"""

from __future__ import annotations

import asyncio
import sys
from pathlib import Path

from tablesync.client import DeviceSession
from tablesync.clock import MonotonicClock
from tablesync.journal import Journal
from tablesync.sync.timing import Timing


async def _take_up(path: Path) -> None:
    journal = await Journal.open(path)
    async with await DeviceSession.open(journal, MonotonicClock(), Timing()) as session:
        session.game.advance()
        print(len(session.game.history))


if __name__ == "__main__":
    asyncio.run(_take_up(Path(sys.argv[1])))
