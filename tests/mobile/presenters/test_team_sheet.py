from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from mobile.presenters.book_screen import book_screen
from mobile.presenters.desk import Desk
from mobile.presenters.intents import (
    BeginSubstitution,
    ChooseKind,
    Enter,
    FoulPlace,
    Rows,
    ShowRows,
)
from mobile.presenters.team_sheet import TeamSheet, team_sheet
from tablesync.core.acts import (
    Basket,
    Charged,
    Foul,
    FreeThrow,
    OpenPeriod,
    Seat,
    Side,
    Substitution,
    TimeOut,
    TimeOutLength,
)
from tablesync.core.book_lines import PeriodMark
from tests.mobile.table import FakeTable
from tests.scribe import SHEET

if TYPE_CHECKING:
    from mobile.presenters.intents import Intent

FULL = TimeOut(Side.HOME, TimeOutLength.FULL)


def _opened() -> FakeTable:
    table = FakeTable()
    table.both(OpenPeriod(1), OpenPeriod(1))
    return table


def _sheet(
    table: FakeTable, desk: Desk | None = None, side: Side = Side.HOME
) -> TeamSheet:
    return team_sheet(table.view(Seat.BOOK), desk or Desk(), side)


def _personal(number: str) -> Foul:
    return Foul(Side.HOME, number, Charged.PLAYER, "personal")


def test_rows_stand_in_order_of_number() -> None:
    numbers = [row.number for row in _sheet(_opened(), side=Side.AWAY).rows]
    assert numbers == ["0", "00", "12", "13", "14", "15", "20", "21"]


def test_only_those_on_court_have_keys_until_the_bench_is_asked_for() -> None:
    table = _opened()
    with_keys = [row.number for row in _sheet(table).rows if row.keys]
    assert with_keys == ["4", "5", "6", "7", "8"]
    desk = table.touch(Seat.BOOK, Desk(), ShowRows(Side.HOME, Rows.BENCH))
    bench = [row.number for row in _sheet(table, desk).rows if row.keys]
    assert bench == ["9", "10", "11"]
    assert _sheet(table, desk).other_rows == ShowRows(Side.HOME, Rows.COURT)


def test_a_rows_keys_enter_what_stands_on_them() -> None:
    keys = _sheet(_opened()).rows[0].keys
    assert keys is not None
    assert keys.two == Enter((Basket(Side.HOME, "4", 2),))
    assert keys.three == Enter((Basket(Side.HOME, "4", 3),))
    assert keys.made == Enter((FreeThrow(Side.HOME, "4", made=True),))
    assert keys.missed == Enter((FreeThrow(Side.HOME, "4", made=False),))


def test_a_tap_on_the_foul_boxes_is_a_personal_and_a_long_press_asks() -> None:
    fouls = _sheet(_opened()).rows[0].fouls
    assert fouls.usual == Enter((_personal("4"),))
    assert fouls.rarer == ChooseKind(FoulPlace(Side.HOME, "4", Charged.PLAYER))


def _choices(table: FakeTable, desk: Desk) -> dict[str, Intent]:
    banner = book_screen(table.view(Seat.BOOK), desk).banner
    assert banner is not None
    return dict(banner.choices)


def test_the_kinds_of_the_code_are_to_be_chosen_from() -> None:
    table = _opened()
    desk = table.touch(Seat.BOOK, Desk(), _sheet(table).rows[0].fouls.rarer)
    assert [row.fouls.chosen for row in _sheet(table, desk).rows][:2] == [True, False]
    choices = _choices(table, desk)
    assert len(choices) == len(
        {rule.kind for rule in table.game.rules.fouls.kinds if rule.charged == "player"}
    )
    technical = Foul(Side.HOME, "4", Charged.PLAYER, "technical")
    assert Enter((technical,)) in choices.values()


def test_a_coach_is_charged_a_technical_and_asked_for_no_personal() -> None:
    table = _opened()
    coach = _sheet(table).coach_fouls
    technical = Foul(Side.HOME, None, Charged.COACH, "technical")
    assert coach.usual == Enter((technical,))
    table.touch(Seat.BOOK, Desk(), coach.usual)
    assert _sheet(table).coach_fouls.letters == ("C",)
    desk = table.touch(Seat.BOOK, Desk(), coach.rarer)
    personal = Foul(Side.HOME, None, Charged.COACH, "personal")
    assert Enter((personal,)) not in _choices(table, desk).values()


def test_foul_boxes_fill_and_the_fifth_puts_the_player_out() -> None:
    table = _opened()
    for _ in range(4):
        table.enter(Seat.BOOK, _personal("4"))
    assert _sheet(table).rows[0].fouls.letters == ("P",) * 4
    assert not _sheet(table).rows[0].out
    table.enter(Seat.BOOK, _personal("4"))
    assert _sheet(table).rows[0].out
    assert _sheet(table).rows[0].fouls.boxes == 5


def test_team_foul_boxes_are_struck_in_order_and_the_bonus_box_is_heavy() -> None:
    table = _opened()
    for _ in range(2):
        table.enter(Seat.BOOK, _personal("4"))
    boxes = _sheet(table).team_fouls
    assert [box.struck for box in boxes] == [True, True, False, False, False]
    assert [box.heavy for box in boxes] == [False, False, False, False, True]


def test_team_fouls_beyond_the_bonus_have_boxes_too() -> None:
    table = _opened()
    for _ in range(6):
        table.enter(Seat.BOOK, _personal("4"))
    assert [box.label for box in _sheet(table).team_fouls][-1] == "6"


def test_time_outs_of_the_half_are_boxes_and_struck_ones_stand_first() -> None:
    """FIBA 2024 Art. 18.2.5: two in the first half, three in the second."""
    table = _opened()
    table.enter(Seat.BOOK, FULL)
    assert [box.struck for box in _sheet(table).time_outs] == [True, False]
    table.enter(Seat.BOOK, OpenPeriod(3))
    assert [box.struck for box in _sheet(table).time_outs] == [False] * 3


def test_a_time_out_too_many_has_a_box_that_says_so() -> None:
    table = _opened()
    table.enter(Seat.BOOK, FULL, FULL, FULL)
    boxes = _sheet(table).time_outs
    assert [(box.struck, box.too_many) for box in boxes] == [
        (True, False),
        (True, False),
        (True, True),
    ]


def test_a_code_with_two_lengths_has_a_key_for_the_short_one() -> None:
    assert _sheet(_opened()).short_time_out is None
    table = FakeTable(replace(SHEET, rules="nfhs-2023"))
    short = TimeOut(Side.HOME, TimeOutLength.SHORT)
    assert _sheet(table).short_time_out == Enter((short,))
    assert [box.label for box in _sheet(table).time_outs] == ["60"] * 3 + ["30"] * 2


def test_quarter_marks_are_slash_for_all_and_cross_for_part_of_it() -> None:
    """Common practice, no source (facts H4): slash, X, blank."""
    table = _opened()
    table.enter(Seat.BOOK, Substitution(Side.HOME, ("9",), ("4",)))
    marks = {row.number: row.periods[0].mark for row in _sheet(table).rows}
    assert marks["4"] is marks["9"] is PeriodMark.PART
    assert marks["5"] is PeriodMark.FULL
    assert marks["10"] is PeriodMark.NONE
    boxes = _sheet(table).rows[0].periods
    assert [box.begun for box in boxes] == [True, False, False, False]
    assert [box.current for box in boxes] == [True, False, False, False]


def test_an_overtime_adds_a_quarter_mark() -> None:
    table = _opened()
    table.enter(Seat.BOOK, *(OpenPeriod(period) for period in range(2, 6)))
    assert len(_sheet(table).rows[0].periods) == 5


def test_somebody_not_on_the_sheet_gets_a_row_when_he_is_entered() -> None:
    table = _opened()
    table.enter(Seat.BOOK, Basket(Side.HOME, "99", 2))
    row = _sheet(table).rows[-1]
    assert (row.number, row.name, row.points) == ("99", "", 2)


def test_a_substitution_under_way_shows_court_and_bench_and_who_is_picked() -> None:
    table = _opened()
    desk = table.touch(Seat.BOOK, Desk(), BeginSubstitution(Side.HOME, "4"))
    moves = _sheet(table, desk).moves
    assert moves is not None
    assert [key.number for key in moves.court] == ["4", "5", "6", "7", "8"]
    assert [key.number for key in moves.bench] == ["9", "10", "11"]
    assert [key.picked for key in moves.court] == [True, False, False, False, False]
    assert moves.words == "off: 4"
    assert _sheet(table, desk, Side.AWAY).moves is None


def test_five_on_court_are_counted() -> None:
    table = _opened()
    table.enter(Seat.BOOK, Substitution(Side.HOME, ("9",), ()))
    assert _sheet(table).on_court == 6
