from __future__ import annotations

from dataclasses import replace
from random import Random
from typing import TYPE_CHECKING

from mobile.court_watch import CourtWatch
from mobile.journals import begin
from mobile.presenters.courts import CourtState, court_cards
from mobile.texts.english import ENGLISH
from tablesync.client import DeviceSession
from tablesync.clock import MonotonicClock
from tablesync.core.acts import Basket, OpenPeriod, Seat, Side
from tablesync.server import serve
from tablesync.store import Store
from tablesync.sync.timing import Timing
from tests.scribe import SHEET

if TYPE_CHECKING:
    from pathlib import Path

OTHER = replace(SHEET, title="Fen Lane v Quarry Hill", court="2")


async def test_a_director_sees_what_is_entered_and_changes_nothing(
    tmp_path: Path,
) -> None:
    clock, timing = MonotonicClock(), Timing()
    async with (
        await Store.open(tmp_path / "relay.db") as store,
        await serve(store, clock, timing, "127.0.0.1", 0) as relay,
        CourtWatch(relay.address, tmp_path, Random(1)) as watch,
    ):
        await watch.look_at([SHEET, OTHER, SHEET])
        journal = await begin(tmp_path, Seat.BOOK, SHEET)
        async with await DeviceSession.open(journal, clock, timing) as book:
            await book.connect(relay.address)
            await book.enter(OpenPeriod(1))
            await book.enter(Basket(Side.HOME, "4", 2))
            await watch.wait_for(
                lambda: any(
                    court.game.book.tally.score.home for court in watch.courts()
                )
            )
            cards = court_cards(watch.courts(), watch.table_ms(), ENGLISH)
            assert len(cards) == 2
            running = next(card for card in cards if card.teams[0].book == "2")
            assert running.teams[0].board == "0"
            assert running.state is not CourtState.AGREED
            assert "no clock seat yet" in running.links
            assert len(book.game.history) == 2
