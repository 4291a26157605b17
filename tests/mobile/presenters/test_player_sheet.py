from __future__ import annotations

from mobile.presenters.book_screen import book_screen
from mobile.presenters.desk import Desk
from mobile.presenters.intents import (
    Back,
    ChooseKind,
    ChoosePlayer,
    Enter,
    FoulPlace,
    Rows,
    ShowRows,
)
from tablesync.core.acts import (
    Basket,
    Charged,
    FreeThrow,
    OpenPeriod,
    Seat,
    Side,
    Substitution,
)
from tests.mobile import scenes

CHOSEN = ChoosePlayer(Side.HOME, "11")


def test_a_number_shows_all_that_its_player_can_do() -> None:
    table = scenes.agreed()
    desk = table.touch(Seat.BOOK, Desk(), CHOSEN)
    screen = book_screen(table.view(Seat.BOOK), desk)
    sheet = screen.player
    assert sheet is not None
    assert sheet.keys.three == Enter((Basket(Side.HOME, "11", 3),))
    assert sheet.keys.made == Enter((FreeThrow(Side.HOME, "11", made=True),))
    assert sheet.keys.missed == Enter((FreeThrow(Side.HOME, "11", made=False),))
    assert sheet.kinds == ChooseKind(FoulPlace(Side.HOME, "11", Charged.PLAYER))
    assert [row.number for row in screen.sheets[0].rows if row.chosen] == ["11"]


def test_it_names_the_bench_in_order_of_number_and_nobody_on_court() -> None:
    table = scenes.agreed()
    sheet = book_screen(table.view(Seat.BOOK), Desk(chosen=CHOSEN)).player
    assert sheet is not None
    numbers = [one.number for one in sheet.bench]
    assert numbers == sorted(numbers, key=int)
    assert not set(numbers) & table.game.book.pages.home.on_court
    assert sheet.bench[0].intent == Enter(
        (Substitution(Side.HOME, (numbers[0],), ("11",)),)
    )


def test_the_same_number_again_takes_it_back_and_another_takes_its_place() -> None:
    table = scenes.agreed()
    other = ChoosePlayer(Side.AWAY, "10")
    assert table.touch(Seat.BOOK, Desk(), CHOSEN, CHOSEN).chosen is None
    assert table.touch(Seat.BOOK, Desk(), CHOSEN, other).chosen == other
    assert table.touch(Seat.BOOK, Desk(), CHOSEN, Back()).chosen is None


def test_an_act_a_kind_and_the_bench_end_it() -> None:
    table = scenes.agreed()
    place = FoulPlace(Side.HOME, "11", Charged.PLAYER)
    for intent in (
        Enter((Basket(Side.HOME, "11", 3),)),
        ChooseKind(place),
        ShowRows(Side.HOME, Rows.BENCH),
    ):
        assert table.touch(Seat.BOOK, Desk(), CHOSEN, intent).chosen is None


def test_choosing_a_player_goes_on_with_what_is_being_amended() -> None:
    table = scenes.agreed()
    wrong = table.enter(Seat.BOOK, Basket(Side.HOME, "4", 2))
    desk = table.touch(Seat.BOOK, Desk(replacing=wrong.id), CHOSEN)
    assert (desk.replacing, desk.chosen) == (wrong.id, CHOSEN)


def test_without_a_choice_there_is_no_sheet() -> None:
    table = scenes.agreed()
    table.enter(Seat.BOOK, OpenPeriod(3))
    assert book_screen(table.view(Seat.BOOK), Desk()).player is None
