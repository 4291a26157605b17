"""How soon there is something: the help, a relay, a seat's session, a replay, a window.

Every start is a process of its own, with the files in the machine's memory and
compiled, as pip leaves what it installs: Kivy's and click's always are.
"""

from __future__ import annotations

import asyncio
import compileall
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from tablesync.core.acts import Note, Seat
from tablesync.core.vector_clock import VectorClock
from tablesync.journal import Journal
from tablesync.record.file import write_record
from tablesync.record.record import Admitted, Record
from tablesync.seal import Pen
from tablesync.store import Store
from tablesync.sync.claim import Standing
from tests.benchmarks.entry_figures import game_of
from tests.benchmarks.figures import Figure, Goal
from tests.benchmarks.pairs import claim_of, seated
from tests.benchmarks.servers import relay
from tests.benchmarks.window_start import BEGAN, FIRST_FRAME
from tests.recording import sealed

__all__ = ["compile_ours", "moments_s", "starts", "windows"]

STORED = 1_000
GAME = 600
SOON_MS = 1_000
STARTED = ("tablesync", "mobile", "tests")


def compile_ours() -> None:
    """Before anything is timed: where Python may not keep bytecode, none would be."""
    for folder in STARTED:
        compileall.compile_dir(folder, quiet=1)


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


async def _keep(path: Path) -> None:
    """A book's journal with both records of a game."""
    claim = claim_of(0, Seat.BOOK)
    async with await Journal.create(path, claim) as journal:
        await journal.append(game_of(GAME), Standing())


def _recorded() -> bytes:
    """The same as a record file."""
    pair = (Seat.BOOK, Seat.CLOCK)
    admitted = tuple(Admitted(claim_of(0, seat).key.device, seat) for seat in pair)
    sheet = claim_of(0, Seat.BOOK).sheet
    assert sheet is not None
    return write_record(Record((), sheet, admitted, sealed(game_of(GAME)), ()))


def _soon(what: str) -> Figure:
    return Figure(what, "ms", "none", Goal.AT_MOST, SOON_MS)


def starts(rounds: int) -> list[Figure]:
    """From the command to what it is for."""
    compile_ours()
    python = "python that imports click"
    helped = Figure("tablesync --help", "ms", "none", Goal.AT_MOST, 150)
    beside = Figure("tablesync --help", "ms", python, Goal.AT_MOST, 2)
    first = _soon("relay without games, until one is served")
    serving = _soon(f"relay with {STORED} stored games, until one is served")
    sitting = _soon(f"a seat's session, from a journal of {GAME} entries")
    replaying = _soon(f"tablesync replay --list, {GAME} entries, each verified")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "many").mkdir()
        asyncio.run(_fill(folder / "many" / "relay.db"))
        journal, record = folder / "book.journal", folder / "game.tablesync"
        asyncio.run(_keep(journal))
        record.write_bytes(_recorded())
        for turn in range(rounds):
            bare_s = _run_s("-c", "import click")
            help_s = _run_s("-m", "tablesync", "--help")
            helped.note(help_s * 1e3)
            beside.note(help_s * 1e3, bare_s * 1e3)
            empty = folder / f"new-{turn}"
            empty.mkdir()
            first.note(_served_s(empty, 0) * 1e3)
            serving.note(_served_s(folder / "many", STORED // 2) * 1e3)
            sitting.note(
                _run_s("-m", "tests.benchmarks.session_start", str(journal)) * 1e3
            )
            replaying.note(
                _run_s("-m", "tablesync", "replay", str(record), "--list") * 1e3
            )
    return [helped, beside, first, serving, sitting, replaying]


def _served_s(folder: Path, game: int) -> float:
    began = time.perf_counter()
    with relay(folder) as running:
        asyncio.run(_join(running.port, game))
        return time.perf_counter() - began


async def _join(port: int, game: int) -> None:
    line = await seated(port, claim_of(game, Seat.CLOCK))
    line.hang_up()


def windows(rounds: int) -> list[Figure]:
    """From the command to the frame with the keys, beside a window of Kivy alone."""
    if sys.platform.startswith("linux") and not os.environ.get("DISPLAY"):
        print("There is no display: no window is measured.", file=sys.stderr)
        return []
    compile_ours()
    bare = "a window of Kivy alone, with 60 buttons"
    figure = Figure(
        "a seat's window, until it can be used", "ms", bare, Goal.AT_MOST, 1.5
    )
    for _ in range(rounds):
        limit_s = moments_s("bare")[FIRST_FRAME]
        figure.note(moments_s("seat")[FIRST_FRAME] * 1e3, limit_s * 1e3)
    return [figure]


def moments_s(kind: str) -> dict[str, float]:
    """Opens a window of a kind, and gives the seconds from the start to each moment."""
    with tempfile.TemporaryDirectory() as home:
        told = {"TABLESYNC_HOME": home, BEGAN: repr(time.time())}
        ran = subprocess.run(
            [sys.executable, "-m", "tests.benchmarks.window_start", kind],
            check=True,
            capture_output=True,
            text=True,
            env={**os.environ, **told},
        )
    moments = (line.partition(":") for line in ran.stdout.splitlines())
    return {moment: float(after_s) for moment, _, after_s in moments}
