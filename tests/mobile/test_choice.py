from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from mobile.choice import Choice, known_choice
from mobile.journals import Begun
from mobile.offers import begun_offers, new_offer
from mobile.texts.english import ENGLISH
from tablesync.core.acts import Basket, OpenPeriod, Seat, Side
from tests.mobile.table import FakeTable
from tests.scribe import SHEET

RELAY = "ws://10.0.0.5:8642"
OTHER = replace(SHEET, title="Fen Lane v Quarry Hill", court="3", date="2026-11-21")


def _begun(seat: Seat, title: str = "", *, is_closed: bool = False) -> Begun:
    sheet = replace(SHEET, title=title) if title else SHEET
    table = FakeTable(sheet)
    table.enter(Seat.BOOK, OpenPeriod(1), Basket(Side.HOME, "4", 2))
    return Begun(Path("x"), seat, sheet, table.game, is_closed)


def test_a_game_and_a_seat_that_are_given_need_no_question() -> None:
    choice = known_choice([_begun(Seat.CLOCK)], Seat.BOOK, OTHER, RELAY)
    assert choice == Choice(Seat.BOOK, OTHER, RELAY)


def test_after_a_crash_the_last_game_is_gone_on_with_at_its_seat() -> None:
    begun = [_begun(Seat.CLOCK, "last"), _begun(Seat.BOOK, "before")]
    choice = known_choice(begun, None, None, RELAY)
    assert choice == Choice(Seat.CLOCK, begun[0].sheet, RELAY)


def test_a_seat_that_is_named_goes_on_with_its_own_last_game() -> None:
    begun = [_begun(Seat.CLOCK, "last"), _begun(Seat.BOOK, "before")]
    choice = known_choice(begun, Seat.BOOK, None, RELAY)
    assert choice == Choice(Seat.BOOK, begun[1].sheet, RELAY)


def test_a_game_that_is_named_is_gone_on_with_where_this_device_sat() -> None:
    begun = [_begun(Seat.CLOCK, "last"), _begun(Seat.BOOK, "before")]
    choice = known_choice(begun, None, begun[1].sheet, RELAY)
    assert choice == Choice(Seat.BOOK, begun[1].sheet, RELAY)


def test_a_signed_game_is_not_gone_on_with_by_itself() -> None:
    assert known_choice([_begun(Seat.BOOK, is_closed=True)], None, None, RELAY) is None


def test_nothing_known_has_to_be_asked() -> None:
    assert known_choice([], None, None, RELAY) is None
    assert known_choice([], Seat.BOOK, None, RELAY) is None


def test_a_new_game_is_offered_with_where_and_when() -> None:
    shown, sheet = new_offer(OTHER, ENGLISH)
    assert (sheet, shown.title, shown.seat) == (OTHER, OTHER.title, None)
    assert shown.detail == "court 3, 2026-11-21"


def test_a_game_begun_here_is_offered_with_how_it_stands() -> None:
    begun = [_begun(Seat.BOOK), _begun(Seat.CLOCK, "over", is_closed=True)]
    offers = [offer for offer, _ in begun_offers(begun, ENGLISH)]
    assert [offer.title for offer in offers] == [SHEET.title, "over"]
    assert offers[0].detail == "under way: 2-0, 1st quarter"
    assert offers[1].detail.startswith("The record is closed")
    assert [offer.seat for offer in offers] == [Seat.BOOK, Seat.CLOCK]
