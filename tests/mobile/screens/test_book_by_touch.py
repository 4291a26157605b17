from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from mobile.presenters.cues import Cue
from mobile.presenters.intents import (
    BeginSubstitution,
    ChoosePlayer,
    Enter,
    Pick,
    Rows,
    ShowRows,
    TurnTo,
)
from mobile.presenters.intents import Page as PageOf
from mobile.theme import Look
from tablesync.core.acts import (
    Arrow,
    Basket,
    Charged,
    ClosePeriod,
    Foul,
    FreeThrow,
    OpenPeriod,
    Seat,
    Side,
    Strike,
    Substitution,
    TimeOut,
    TimeOutLength,
)
from tests.mobile import scenes
from tests.mobile.seat_on_screen import SeatAtFakeTable
from tests.mobile.table import FakeTable

if TYPE_CHECKING:
    from tests.mobile.window import TestWindow

pytestmark = pytest.mark.screens

TABLET, PHONE = (1280, 800), (360, 640)
SIZES = pytest.mark.parametrize("size", [TABLET, PHONE], ids=["tablet", "phone"])
HOME = Side.HOME


ONE_KEY = (
    Basket(HOME, "4", 2),
    Foul(HOME, "5", Charged.PLAYER, "personal"),
    Basket(Side.AWAY, "3", 2),
    TimeOut(HOME, TimeOutLength.FULL),
    Arrow(HOME),
)
BY_NUMBER = (
    Basket(HOME, "21", 3),
    FreeThrow(HOME, "11", made=True),
    FreeThrow(HOME, "11", made=False),
    Substitution(HOME, ("7",), ("11",)),
)
"""What a phone has no room for in the row: it is with the player's number."""


@pytest.mark.parametrize(
    ("size", "act"),
    [
        *((TABLET, act) for act in (*ONE_KEY, *BY_NUMBER[:3])),
        *((PHONE, act) for act in ONE_KEY),
    ],
    ids=str,
)
def test_one_touch_where_the_pencil_would_go_enters_the_act(
    window: TestWindow, act: Basket | Foul | FreeThrow, size: tuple[int, int]
) -> None:
    book = SeatAtFakeTable(window, scenes.agreed(), Seat.BOOK, size)
    book.touch(book.key(Enter((act,))))
    assert book.acts() == [act]


@pytest.mark.parametrize("act", BY_NUMBER, ids=str)
def test_on_a_phone_one_slide_from_the_number_enters_everything_else(
    window: TestWindow, act: Basket | FreeThrow | Substitution
) -> None:
    book = SeatAtFakeTable(window, scenes.agreed(), Seat.BOOK, PHONE)
    number = act.off[0] if isinstance(act, Substitution) else act.number
    finger = window.down(book.key(ChoosePlayer(HOME, number)).center)
    window.frames(4)
    key = book.key(Enter((act,)))
    window.move(finger, key.center)
    window.frames(1)
    assert key.pressed
    window.up(finger)
    window.frames(1)
    book.settle()
    assert book.acts() == [act]
    assert book.shell.desk.chosen is None


@pytest.mark.parametrize("act", BY_NUMBER, ids=str)
def test_on_a_phone_so_do_a_tap_on_the_number_and_one_on_the_key(
    window: TestWindow, act: Basket | FreeThrow | Substitution
) -> None:
    book = SeatAtFakeTable(window, scenes.agreed(), Seat.BOOK, PHONE)
    number = act.off[0] if isinstance(act, Substitution) else act.number
    book.touch(book.key(ChoosePlayer(HOME, number)))
    book.touch(book.key(Enter((act,))))
    assert book.acts() == [act]


def test_a_second_tap_on_a_number_takes_the_choice_back(window: TestWindow) -> None:
    book = SeatAtFakeTable(window, scenes.agreed(), Seat.BOOK, PHONE)
    number = book.key(ChoosePlayer(HOME, "4"))
    book.touch(number)
    assert book.find(Enter((Basket(HOME, "4", 3),))) is not None
    book.touch(number)
    assert book.find(Enter((Basket(HOME, "4", 3),))) is None
    assert book.acts() == []


def test_on_a_phone_a_player_of_the_bench_has_his_keys_behind_one_tap(
    window: TestWindow,
) -> None:
    book = SeatAtFakeTable(window, scenes.agreed(), Seat.BOOK, PHONE)
    book.touch(book.key(ShowRows(HOME, Rows.BENCH)))
    foul = Foul(HOME, "30", Charged.PLAYER, "personal")
    book.touch(book.key(Enter((foul,))))
    assert book.acts() == [foul]
    assert book.find(Enter((Basket(Side.AWAY, "3", 2),))) is not None


def test_a_substitution_is_two_touches(window: TestWindow) -> None:
    book = SeatAtFakeTable(window, scenes.agreed(), Seat.BOOK, TABLET)
    book.touch(book.key(BeginSubstitution(HOME, "4")))
    book.touch(book.key(Pick(HOME, "7")))
    assert book.acts() == [Substitution(HOME, ("7",), ("4",))]
    assert book.key(Enter((Basket(HOME, "7", 2),)))


def test_on_a_phone_several_are_put_in_at_once(window: TestWindow) -> None:
    book = SeatAtFakeTable(window, scenes.agreed(), Seat.BOOK, PHONE)
    book.touch(book.key(BeginSubstitution(HOME)))
    for number in ("4", "11", "7", "15"):
        book.touch(book.key(Pick(HOME, number)))
    assert book.acts() == [Substitution(HOME, ("7", "15"), ("4", "11"))]


def test_a_substitution_is_one_slide_from_who_goes_off_to_who_goes_on(
    window: TestWindow,
) -> None:
    book = SeatAtFakeTable(window, scenes.agreed(), Seat.BOOK, TABLET)
    finger = window.down(book.key(BeginSubstitution(HOME, "4")).center)
    window.frames(4)
    key = book.key(Pick(HOME, "7"))
    window.move(finger, key.center)
    window.frames(1)
    assert key.pressed
    window.up(finger)
    window.frames(1)
    book.settle()
    assert book.acts() == [Substitution(HOME, ("7",), ("4",))]
    assert book.shell.desk.moving is None


@SIZES
def test_a_long_press_asks_for_the_kind_and_the_next_touch_gives_it(
    window: TestWindow, size: tuple[int, int]
) -> None:
    book = SeatAtFakeTable(window, scenes.agreed(), Seat.BOOK, size)
    personal = Enter((Foul(HOME, "4", Charged.PLAYER, "personal"),))
    technical = Foul(HOME, "4", Charged.PLAYER, "technical")
    finger = window.down(book.key(personal).center)
    window.until(lambda: book.shell.desk.kind_of is not None)
    window.up(finger)
    window.frames(2)
    assert book.acts() == []
    book.touch(book.key(Enter((technical,))))
    assert book.acts() == [technical]


def test_a_key_answers_the_finger_before_it_is_lifted(window: TestWindow) -> None:
    book = SeatAtFakeTable(window, scenes.agreed(), Seat.BOOK)
    key = book.key(Enter((Basket(HOME, "4", 2),)))
    before = window.picture()
    finger = window.down(key.center)
    window.frames(2)
    assert key.pressed
    during = window.picture()
    window.up(finger)
    book.settle()
    x, y = (round(value) for value in key.pos)
    rows = slice(800 - y - round(key.height), 800 - y)
    columns = slice(x, x + round(key.width))
    assert (before[rows, columns] != during[rows, columns]).mean() > 0.5


def test_a_finger_that_slides_off_has_entered_nothing(window: TestWindow) -> None:
    book = SeatAtFakeTable(window, scenes.agreed(), Seat.BOOK)
    finger = window.down(book.key(Enter((Basket(HOME, "4", 2),))).center)
    window.frames(2)
    finger.sx, finger.sy = 0.99, 0.01
    window.up(finger)
    book.settle()
    assert book.acts() == []


def test_the_last_entry_is_struck_and_restored_with_one_touch_each(
    window: TestWindow,
) -> None:
    table = scenes.agreed()
    book = SeatAtFakeTable(window, table, Seat.BOOK)
    book.touch(book.key(Enter((Basket(HOME, "4", 2),))))
    score = table.game.book.tally.score.home
    book.touch(book.labelled("strike"))
    assert table.game.book.tally.score.home == score - 2
    book.touch(book.labelled("restore"))
    assert table.game.book.tally.score.home == score


def test_a_wrong_player_is_amended_by_entering_it_anew(window: TestWindow) -> None:
    table = scenes.agreed()
    book = SeatAtFakeTable(window, table, Seat.BOOK)
    book.touch(book.key(Enter((Basket(HOME, "4", 2),))))
    book.touch(book.labelled("amend"))
    book.touch(book.key(Enter((Basket(HOME, "11", 2),))))
    wrong, strike, right = book.acts()
    assert (wrong, right) == (Basket(HOME, "4", 2), Basket(HOME, "11", 2))
    assert isinstance(strike, Strike)


@SIZES
def test_the_key_of_a_card_puts_the_book_right(
    window: TestWindow, size: tuple[int, int]
) -> None:
    table = scenes.mismatch()
    book = SeatAtFakeTable(window, table, Seat.BOOK, size)
    finding = table.game.open_findings()[0]
    book.settle()
    assert finding.id in book.shown()
    book.touch(book.labelled("strike +2 Kestrel Park"))
    assert finding.id not in [one.id for one in table.game.open_findings()]


def test_a_quarter_is_closed_on_its_page_and_the_next_one_opened(
    window: TestWindow,
) -> None:
    table = FakeTable(scenes.SHEET)
    book = SeatAtFakeTable(window, table, Seat.BOOK)
    book.touch(book.labelled("open 1st quarter"))
    book.touch(book.labelled("end 1st quarter"))
    book.touch(book.labelled("close the 1st quarter"))
    book.touch(book.labelled("open 2nd quarter"))
    assert book.acts() == [OpenPeriod(1), ClosePeriod(1), OpenPeriod(2)]


def test_turning_the_window_keeps_what_has_been_begun(window: TestWindow) -> None:
    book = SeatAtFakeTable(window, scenes.agreed(), Seat.BOOK, TABLET)
    book.touch(book.key(BeginSubstitution(HOME, "4")))
    window.resize(PHONE)
    assert book.shell.desk.picked == ("4",)
    book.touch(book.key(Pick(HOME, "7")))
    window.resize(TABLET)
    assert book.acts() == [Substitution(HOME, ("7",), ("4",))]
    assert book.key(TurnTo(PageOf.MORE))


@SIZES
def test_losing_the_focus_in_mid_entry_keeps_what_was_begun(
    window: TestWindow, size: tuple[int, int]
) -> None:
    book = SeatAtFakeTable(window, scenes.agreed(), Seat.BOOK, size)
    book.touch(book.key(BeginSubstitution(HOME)))
    book.touch(book.key(Pick(HOME, "4")))
    book.stage.focus_changed(None, False)  # noqa: FBT003 - as Kivy calls it
    book.stage.focus_changed(None, True)  # noqa: FBT003 - as Kivy calls it
    assert book.shell.desk.picked == ("4",)
    book.touch(book.key(Pick(HOME, "7")))
    assert book.acts() == [Substitution(HOME, ("7",), ("4",))]


def test_turning_a_phone_keeps_the_player_that_was_chosen(window: TestWindow) -> None:
    book = SeatAtFakeTable(window, scenes.agreed(), Seat.BOOK, PHONE)
    book.touch(book.key(ChoosePlayer(HOME, "11")))
    window.resize((640, 360))
    window.resize(PHONE)
    three = Basket(HOME, "11", 3)
    book.touch(book.key(Enter((three,))))
    assert book.acts() == [three]


def test_resizing_and_focus_keep_an_amendment_and_its_kind_that_were_begun(
    window: TestWindow,
) -> None:
    book = SeatAtFakeTable(window, scenes.agreed(), Seat.BOOK, PHONE)
    book.touch(book.key(Enter((Basket(HOME, "4", 2),))))
    book.touch(book.labelled("amend"))
    book.touch(book.key(ChoosePlayer(HOME, "11")))
    window.resize(TABLET)
    book.stage.focus_changed(None, False)  # noqa: FBT003 - as Kivy calls it
    window.resize(PHONE)
    book.touch(book.key(Enter((Basket(HOME, "11", 3),))))
    wrong, strike, right = book.acts()
    assert (wrong, right) == (Basket(HOME, "4", 2), Basket(HOME, "11", 3))
    assert isinstance(strike, Strike)


def test_what_has_been_begun_is_kept_for_a_restart(window: TestWindow) -> None:
    table = scenes.agreed()
    book = SeatAtFakeTable(window, table, Seat.BOOK)
    book.touch(book.key(BeginSubstitution(HOME, "4")))
    (desk, entries), *_ = book.around.desks
    assert (desk.moving, desk.picked) == (HOME, ("4",))
    assert entries == len(table.game.book.record)


def test_a_new_finding_is_sounded_and_a_changed_setting_kept(
    window: TestWindow,
) -> None:
    table = scenes.agreed()
    book = SeatAtFakeTable(window, table, Seat.BOOK)
    table.enter(Seat.BOOK, Basket(Side.AWAY, "8", 2))
    table.wait(60_000)
    book.settle()
    assert book.around.cues == [Cue.FINDING]
    book.touch(book.labelled("more"))
    book.touch(book.labelled("light or dark"))
    assert [settings.look for settings in book.around.settings] == [Look.DARK]


def test_a_key_looks_pressed_until_what_it_did_is_shown(window: TestWindow) -> None:
    book = SeatAtFakeTable(window, scenes.agreed(), Seat.BOOK)
    key = book.key(Enter((Basket(HOME, "4", 2),)))
    finger = window.down(key.center)
    window.frames()
    window.up(finger)
    window.frames()
    assert key.pressed
    book.settle()
    assert not key.pressed


def test_ten_quick_touches_of_one_device_give_ten_entries(window: TestWindow) -> None:
    book = SeatAtFakeTable(window, scenes.agreed(), Seat.BOOK)
    key = book.key(Enter((Basket(HOME, "4", 2),)))
    sieve = window.count_touches_once()
    for _ in range(10):
        finger = window.down(key.center)
        window.up(finger)
        window.frames(1)
    window.stop_counting(sieve)
    book.settle()
    assert book.acts() == [Basket(HOME, "4", 2)] * 10


def test_five_touches_that_are_reported_twice_give_five_entries(
    window: TestWindow,
) -> None:
    book = SeatAtFakeTable(window, scenes.agreed(), Seat.BOOK)
    key = book.key(Enter((Basket(HOME, "4", 2),)))
    sieve = window.count_touches_once()
    for _ in range(5):
        fingers = [window.down(key.center, device) for device in ("touch", "mouse")]
        for finger in fingers:
            window.up(finger)
        window.frames(1)
    window.stop_counting(sieve)
    book.settle()
    assert book.acts() == [Basket(HOME, "4", 2)] * 5
    assert sieve.doubles == 5
