from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING

from mobile.court_watch import CourtWatch
from mobile.journals import begin
from mobile.presenters.courts import court_cards
from mobile.texts.english import ENGLISH
from tablesync.admission.invitation import EVERY_GAME
from tablesync.client import DeviceSession
from tablesync.clock import MonotonicClock
from tablesync.core.acts import Basket, OpenPeriod, Seat, Side
from tablesync.core.court_state import CourtState
from tablesync.relay_address import checked_address
from tablesync.server import serve
from tablesync.store import Store
from tablesync.sync.timing import Timing
from tablesync.tasks import call_off
from tests.guarded import Hall
from tests.scribe import SHEET
from tests.sync.table import GAME

if TYPE_CHECKING:
    from pathlib import Path

    from mobile.presenters.courts import CourtCard


async def test_a_director_sees_what_is_entered_and_changes_nothing(
    tmp_path: Path,
) -> None:
    clock, timing = MonotonicClock(), Timing()
    async with (
        await Store.open(tmp_path / "relay.db") as store,
        await serve(store, clock, timing, "127.0.0.1", 0) as relay,
    ):
        watch = CourtWatch(relay.address, clock)
        assert watch.silent_ms() is None
        following = asyncio.create_task(watch.keep_following())
        journal = await begin(tmp_path, Seat.BOOK, SHEET)
        async with await DeviceSession.open(journal, clock, timing) as book:
            await book.connect(relay.address)
            await book.enter(OpenPeriod(1))
            await book.enter(Basket(Side.HOME, "4", 2))
            card = await _card_that_shows(watch, "2")
            assert card.teams[0].board == "0"
            assert card.state is not CourtState.AGREED
            assert "no clock seat yet" in card.links
            assert watch.silent_ms() is not None
            assert len(book.game.history) == 2
        await call_off(following)


async def test_an_invitation_to_look_on_shows_a_guarded_relays_courts(
    tmp_path: Path,
) -> None:
    async with Hall(tmp_path, timing=Timing()) as hall:
        book = await hall.seated(Seat.BOOK)
        await book.enter(OpenPeriod(1))
        invitation = await hall.invitation(None, EVERY_GAME)
        address = checked_address(f" {invitation} ")
        watch = CourtWatch(address, hall.clock)
        assert watch.relay == hall.address.url
        following = asyncio.create_task(watch.keep_following())
        while not watch.courts():
            await watch.wait_for_news()
        await call_off(following)
        assert [court.id for court in watch.courts()] == [GAME.hex()]


async def _card_that_shows(watch: CourtWatch, score: str) -> CourtCard:
    """The only court, once the relay has told that its book has this score."""
    while True:
        for card in court_cards(watch.courts(), watch.table_ms(), ENGLISH):
            if card.teams[0].book == score:
                return card
        await watch.wait_for_news()
