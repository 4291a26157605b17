"""How soon there is something: the help, and a relay with a thousand stored games."""

from __future__ import annotations

import asyncio
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from tablesync.core.acts import Note, Seat
from tablesync.core.vector_clock import VectorClock
from tablesync.seal import Pen
from tablesync.store import Store
from tests.benchmarks.figures import Figure, Goal
from tests.benchmarks.pairs import claim_of, seated
from tests.benchmarks.servers import relay

__all__ = ["starts"]

STORED = 1_000


def _run_s(*arguments: str) -> float:
    began = time.perf_counter()
    subprocess.run([sys.executable, *arguments], check=True, capture_output=True)
    return time.perf_counter() - began


async def _fill(path: Path) -> None:
    async with await Store.open(path) as store:
        for game in range(STORED):
            claim = claim_of(game, Seat.BOOK)
            assert claim.sheet is not None
            pen = Pen(claim.key, Seat.BOOK, claim.game)
            store.keep_sheet(claim.game, claim.sheet)
            notes = [pen.write(Note(str(n)), VectorClock(), n) for n in range(5)]
            store.append(claim.game, notes)
        await store.settled()


def starts(rounds: int) -> list[Figure]:
    """From the command to what it is for."""
    python = "python that imports click"
    helped = Figure("tablesync --help", "ms", "none", Goal.AT_MOST, 150)
    beside = Figure("tablesync --help", "ms", python, Goal.AT_MOST, 2)
    serving = Figure(
        f"relay with {STORED} stored games, until one is served",
        "ms",
        "none",
        Goal.AT_MOST,
        1_000,
    )
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        asyncio.run(_fill(folder / "relay.db"))
        for _ in range(rounds):
            bare_s = _run_s("-c", "import click")
            help_s = _run_s("-m", "tablesync", "--help")
            helped.note(help_s * 1e3)
            beside.note(help_s * 1e3, bare_s * 1e3)
            began = time.perf_counter()
            with relay(folder) as running:
                asyncio.run(_join(running.port))
                serving.note((time.perf_counter() - began) * 1e3)
    return [helped, beside, serving]


async def _join(port: int) -> None:
    line = await seated(port, claim_of(STORED // 2, Seat.CLOCK))
    line.hang_up()
