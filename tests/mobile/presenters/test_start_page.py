from __future__ import annotations

from dataclasses import replace

from mobile.presenters.start_page import (
    GAMES_ON_LEAF,
    Begin,
    ChooseGame,
    CodeAt,
    GameOffer,
    GiveCode,
    LeafGames,
    SitDown,
    StartDesk,
    TypeCode,
    UseRelay,
    start_page,
    started,
)
from mobile.texts.english import ENGLISH
from tablesync.admission.invitation import Invitation, RelayAddress
from tablesync.core.acts import Seat

FRESH = GameOffer("Fen Lane v Tidegate", "court 1", None)
UNDER_WAY = GameOffer("Harbour Mills v Kestrel Park", "17-11", Seat.CLOCK)
DESK = StartDesk((FRESH, UNDER_WAY))


def test_seat_and_game_are_chosen_before_it_can_begin() -> None:
    assert start_page(DESK, ENGLISH).begin.intent is None
    desk = started(started(DESK, SitDown(Seat.BOOK)), ChooseGame(0))
    page = start_page(desk, ENGLISH)
    assert page.begin.intent == Begin()
    assert [key.chosen for key in page.seats] == [True, False]
    assert [key.chosen for key in page.games] == [True, False]
    assert started(desk, Begin()).has_begun


def test_nothing_begins_without_a_choice() -> None:
    assert not started(DESK, Begin()).has_begun


def test_a_game_under_way_brings_its_seat_and_no_other_can_be_taken() -> None:
    desk = started(DESK, ChooseGame(1))
    assert desk.seat is Seat.CLOCK
    book, clock = start_page(desk, ENGLISH).seats
    assert (book.intent, clock.intent) == (None, SitDown(Seat.CLOCK))


def test_a_relay_is_typed_or_taken_from_those_that_were_found() -> None:
    found = replace(DESK, relays=("ws://10.0.0.5:8642",))
    page = start_page(found, ENGLISH)
    assert page.relays[0].intent == UseRelay("ws://10.0.0.5:8642")
    desk = started(found, UseRelay(" ws://10.0.0.5:8642 "))
    assert start_page(desk, ENGLISH).relays[0].chosen


def test_no_relay_is_said_to_be_none_and_does_not_stand_in_the_way() -> None:
    desk = started(started(DESK, SitDown(Seat.BOOK)), ChooseGame(0))
    begin = start_page(desk, ENGLISH).begin
    assert (begin.intent, begin.caption) == (Begin(), "without a relay for now")


def test_without_games_the_cover_says_how_to_get_one() -> None:
    page = start_page(StartDesk((), folder="/home/x/games"), ENGLISH)
    assert "/home/x/games" in page.no_games
    assert start_page(DESK, ENGLISH).no_games == ""


def test_many_games_are_leafed_through_and_keep_their_places() -> None:
    count = 2 * GAMES_ON_LEAF + 1
    desk = StartDesk(tuple(GameOffer(f"game {n}", "", None) for n in range(count)))
    seen = []
    for _ in range(3):
        page = start_page(desk, ENGLISH)
        assert page.more_games is not None
        seen += [key.label for key in page.games]
        desk = started(desk, LeafGames())
    assert seen == [f"game {n}" for n in range(count)]
    assert desk.leaf == 0
    last = start_page(replace(desk, leaf=2), ENGLISH).games[0]
    assert last.intent == ChooseGame(count - 1)


def test_few_games_need_no_leafing() -> None:
    assert start_page(DESK, ENGLISH).more_games is None


def test_a_code_is_asked_for_where_the_relay_is_a_place() -> None:
    assert start_page(DESK, ENGLISH).give_code is None
    relay = RelayAddress("10.0.0.5", 8642, bytes(32))
    invitation = Invitation(relay, bytes(32), None, bytes(16))
    for address, takes in (("10.0.0.5", True), ("10.0.0.5:x", False)):
        desk = started(DESK, UseRelay(address))
        assert (start_page(desk, ENGLISH).give_code is not None) is takes
    assert not started(DESK, UseRelay(str(invitation))).takes_code


def test_the_key_of_the_code_waits_until_the_code_is_whole() -> None:
    desk = started(DESK, UseRelay("10.0.0.5:9000"))
    for text, code_at in (
        ("", None),
        ("3-481-92", None),
        (" 3-481 926 ", CodeAt("10.0.0.5", 9000, "3-481 926")),
    ):
        typed = started(desk, TypeCode(text))
        page = start_page(typed, ENGLISH)
        assert typed.code_at == code_at
        assert page.give_code is not None
        assert (page.give_code.intent == GiveCode()) is (code_at is not None)
