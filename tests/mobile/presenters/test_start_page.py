from __future__ import annotations

from mobile.presenters.start_page import (
    Begin,
    ChooseGame,
    GameOffer,
    SitDown,
    StartDesk,
    UseRelay,
    start_page,
    started,
)
from mobile.texts.english import ENGLISH
from tablesync.core.acts import Seat

FRESH = GameOffer("Fen Lane v Tidegate", "court 1", None)
UNDER_WAY = GameOffer("Harbour Mills v Kestrel Park", "17-11", Seat.CLOCK)
DESK = StartDesk((FRESH, UNDER_WAY))


def test_seat_and_game_are_chosen_before_it_can_begin() -> None:
    assert start_page(DESK, (), ENGLISH).begin.intent is None
    desk = started(started(DESK, SitDown(Seat.BOOK)), ChooseGame(0))
    page = start_page(desk, (), ENGLISH)
    assert page.begin.intent == Begin()
    assert [key.chosen for key in page.seats] == [True, False]
    assert [key.chosen for key in page.games] == [True, False]
    assert started(desk, Begin()).has_begun


def test_nothing_begins_without_a_choice() -> None:
    assert not started(DESK, Begin()).has_begun


def test_a_game_under_way_brings_its_seat_and_no_other_can_be_taken() -> None:
    desk = started(DESK, ChooseGame(1))
    assert desk.seat is Seat.CLOCK
    book, clock = start_page(desk, (), ENGLISH).seats
    assert (book.intent, clock.intent) == (None, SitDown(Seat.CLOCK))


def test_a_relay_is_typed_or_taken_from_those_that_were_found() -> None:
    page = start_page(DESK, ("ws://10.0.0.5:8642",), ENGLISH)
    assert page.relays[0].intent == UseRelay("ws://10.0.0.5:8642")
    desk = started(DESK, UseRelay(" ws://10.0.0.5:8642 "))
    assert start_page(desk, ("ws://10.0.0.5:8642",), ENGLISH).relays[0].chosen


def test_no_relay_is_said_to_be_none_and_does_not_stand_in_the_way() -> None:
    desk = started(started(DESK, SitDown(Seat.BOOK)), ChooseGame(0))
    begin = start_page(desk, (), ENGLISH).begin
    assert (begin.intent, begin.caption) == (Begin(), "without a relay for now")


def test_without_games_the_cover_says_how_to_get_one() -> None:
    assert start_page(StartDesk(()), (), ENGLISH).no_games
    assert start_page(DESK, (), ENGLISH).no_games == ""
