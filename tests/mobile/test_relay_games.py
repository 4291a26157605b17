from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from mobile.journals import begin
from mobile.relay_games import games_at
from tablesync.client import DeviceSession
from tablesync.clock import MonotonicClock
from tablesync.core.acts import OpenPeriod, Seat, Signer, SignOff
from tablesync.server import serve
from tablesync.store import Store
from tablesync.sync.timing import Timing
from tests.scribe import SHEET

if TYPE_CHECKING:
    from pathlib import Path

    from tablesync.core.sheet import GameSheet

OTHER = replace(SHEET, title="Fen Lane v Quarry Hill", court="2")
SIGNED = replace(SHEET, title="Tidegate v Brackwater", court="3")


async def _play(folder: Path, relay: str, sheet: GameSheet, *, signed: bool) -> None:
    """Somebody opens the game at the relay, and signs it perhaps."""
    clock = MonotonicClock()
    journal = await begin(folder, Seat.BOOK, sheet)
    async with await DeviceSession.open(journal, clock, Timing()) as book:
        await book.connect(relay)
        await book.enter(OpenPeriod(1))
        if signed:
            await book.enter(SignOff(Signer.REFEREE, "V. Lind"))
        await book.wait_for(lambda: book.unacknowledged == 0)


async def test_the_games_that_go_on_at_a_relay_are_found_by_their_sheets(
    tmp_path: Path,
) -> None:
    clock = MonotonicClock()
    async with (
        await Store.open(tmp_path / "relay.db") as store,
        await serve(store, clock, Timing(), "127.0.0.1", 0) as relay,
    ):
        assert await games_at(relay.address, clock) == ()
        for sheet in (OTHER, SHEET, SIGNED):
            signed = sheet is SIGNED
            await _play(tmp_path, relay.address, sheet, signed=signed)
        assert set(await games_at(relay.address, clock)) == {SHEET, OTHER}


async def test_where_nobody_answers_there_are_no_games() -> None:
    assert await games_at("ws://127.0.0.1:1", MonotonicClock()) == ()
