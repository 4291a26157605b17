from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from tablesync.core.acts import (
    Arrow,
    Basket,
    ClosePeriod,
    OpenPeriod,
    Side,
    Strike,
    Substitution,
    Unavailable,
)
from tablesync.core.notices import NoticeKind
from tablesync.core.playing_time import PlayingTimeRule, PlayingTimeRules
from tablesync.core.rulesets import rule_set
from tablesync.core.sources import league
from tablesync.core.tally import PerSide
from tests.scribe import (
    SHEET,
    TIDEGATE,
    BookDesk,
    bench_foul,
    coach_foul,
    foul,
    squad,
)

if TYPE_CHECKING:
    from tablesync.core.acts import Act
    from tablesync.core.sheet import GameSheet

FIBA, OLD, YOUTH = rule_set("fiba-2024"), rule_set("nfhs-2022"), rule_set("youth")
HOME, AWAY = Side.HOME, Side.AWAY


def test_bonus_and_double_bonus_at_the_seventh_and_tenth_of_a_half() -> None:
    """NFHS 4-8-1 before 2023-24; notified at the 7th and 10th, scorer's card."""
    desk = BookDesk(OLD)
    numbers = ["0", "00", "12", "13", "14"] * 2
    desk.enter(OpenPeriod(1), *(foul(AWAY, n) for n in numbers[:3]), ClosePeriod(1))
    desk.enter(OpenPeriod(2), *(foul(AWAY, n) for n in numbers[3:6]))
    assert desk.notices == []
    assert desk.told(foul(AWAY, numbers[6])) == [
        "Blue: 7th team foul of the 1st half, white shoots one-and-one."
    ]
    assert desk.told(*(foul(AWAY, n) for n in numbers[7:9])) == []
    assert desk.told(foul(AWAY, numbers[9])) == [
        "Blue: 10th team foul of the 1st half, white shoots two."
    ]
    assert [n.kind for n in desk.notices] == [
        NoticeKind.BONUS,
        NoticeKind.DOUBLE_BONUS,
    ]
    assert desk.told(ClosePeriod(2), OpenPeriod(3), foul(AWAY, "12")) == []


def test_overtime_goes_on_with_the_last_quarters_team_fouls() -> None:
    """FIBA Art. 41."""
    desk = BookDesk(FIBA)
    desk.enter(OpenPeriod(4), *(foul(HOME, n) for n in ("4", "5", "6", "7")))
    assert desk.told(ClosePeriod(4), OpenPeriod(5), foul(HOME, "8")) == [
        "White: 5th team foul of the 4th quarter, blue shoots two."
    ]


def test_the_coach_is_out_by_his_own_and_the_benchs_technicals() -> None:
    """FIBA Art. 36.2.4 (2022)."""
    desk = BookDesk(FIBA)
    assert desk.told(OpenPeriod(1), bench_foul(HOME), bench_foul(HOME)) == []
    assert desk.told(coach_foul(HOME)) == [
        "White's coach is out: three technical fouls, the bench's included."
    ]
    assert desk.notices[0].number is None


def test_a_number_that_is_not_on_the_sheet_is_said_once() -> None:
    desk = BookDesk(FIBA)
    desk.enter(OpenPeriod(1))
    assert "White 99 is not on the sheet." in desk.told(Basket(HOME, "99", 2))
    assert "White 99 is not on the sheet." not in desk.told(Basket(HOME, "99", 2))


def test_a_stranger_is_named_when_he_is_to_start() -> None:
    desk = BookDesk(FIBA)
    desk.enter(OpenPeriod(1), ClosePeriod(1))
    assert desk.told(Substitution(HOME, ("77",), ("4",))) == [
        "White 77 is not on the sheet."
    ]


def test_six_on_court() -> None:
    desk = BookDesk(FIBA)
    desk.enter(OpenPeriod(1))
    assert desk.told(Substitution(HOME, ("9",), ())) == ["White has 6 on court."]
    assert desk.told(Substitution(HOME, (), ("4",))) == []


def eight_a_side() -> GameSheet:
    mills = squad("Harbour Mills", "white", ("4", "5", "6", "7", "8", "9", "10", "11"))
    return replace(SHEET, rules="youth", teams=PerSide(mills, TIDEGATE))


def test_who_must_start_is_said_before_the_period() -> None:
    """Eight present: two whole quarters each, one sat out (the league's own)."""
    desk = BookDesk(YOUTH, eight_a_side())
    assert desk.told(OpenPeriod(1)) == []
    told = desk.told(ClosePeriod(1), OpenPeriod(2), ClosePeriod(2))
    assert [text for text in told if text.startswith("White")] == [
        "White 9 must start the 3rd quarter.",
        "White 10 must start the 3rd quarter.",
        "White 11 must start the 3rd quarter.",
    ]
    assert {n.kind for n in desk.notices} == {NoticeKind.PLAYING_TIME}


def test_what_can_not_be_met_any_more_is_said_when_that_becomes_so() -> None:
    desk = BookDesk(YOUTH, eight_a_side())
    desk.enter(OpenPeriod(1), ClosePeriod(1), OpenPeriod(2), ClosePeriod(2))
    told = desk.told(OpenPeriod(3))
    assert [text for text in told if text.startswith("White")] == [
        "White 9 can't play 2 whole quarters any more.",
        "White 10 can't play 2 whole quarters any more.",
        "White 11 can't play 2 whole quarters any more.",
        "White can't give everybody the playing time owed any more.",
    ]
    told = desk.told(ClosePeriod(3), OpenPeriod(4))
    assert "White 4 has played in 4 quarters, more than 3." in told


def test_a_player_who_comes_off_loses_the_whole_quarter() -> None:
    desk = BookDesk(YOUTH, eight_a_side())
    desk.enter(OpenPeriod(1), ClosePeriod(1))
    desk.enter(OpenPeriod(2), ClosePeriod(2))
    desk.enter(Substitution(HOME, ("9", "10", "11"), ("4", "5", "6")))
    assert not [t for t in desk.told(OpenPeriod(3)) if t.startswith("White")]
    assert desk.told(Substitution(HOME, ("4",), ("9",))) == [
        "White 9 can't play 2 whole quarters any more."
    ]


def test_not_everybody_can_have_it() -> None:
    """Ten present leave no place to spare, so a shared quarter can't be made good."""
    numbers = tuple(str(n) for n in range(4, 14))
    ten = squad("Harbour Mills", "white", numbers)
    sheet = replace(SHEET, teams=PerSide(ten, TIDEGATE))
    desk = BookDesk(YOUTH, sheet)
    desk.enter(OpenPeriod(1))
    assert desk.told(Substitution(HOME, ("9",), ("4",))) == [
        "White can't give everybody the playing time owed any more."
    ]
    assert desk.notices[0].number is None


def test_the_rule_depends_on_how_many_are_present() -> None:
    desk = BookDesk(YOUTH, eight_a_side())
    gone = [Unavailable(HOME, number, "absent") for number in ("9", "10", "11")]
    desk.enter(*gone)
    assert not [
        text
        for text in desk.told(OpenPeriod(1), ClosePeriod(1), OpenPeriod(2))
        if text.startswith("White")
    ]


def test_whose_turn_it_is_when_there_is_no_place_to_spare() -> None:
    numbers = tuple(str(n) for n in range(4, 14))
    ten = squad("Harbour Mills", "white", numbers)
    desk = BookDesk(YOUTH, replace(SHEET, teams=PerSide(ten, TIDEGATE)))
    desk.enter(OpenPeriod(1), ClosePeriod(1))
    told = desk.told(
        Substitution(HOME, ("9", "10", "11"), ("4", "5", "6")),
        OpenPeriod(2),
        ClosePeriod(2),
    )
    assert [text for text in told if text.startswith("White")] == [
        "White 12 must start the 3rd quarter.",
        "White 13 must start the 3rd quarter.",
        "White 7 must sit out the 3rd quarter.",
        "White 8 must sit out the 3rd quarter.",
    ]


def test_some_of_a_group_must_start() -> None:
    """Twelve present: one whole quarter each, and seven are still owed theirs."""
    numbers = tuple(str(n) for n in range(4, 16))
    twelve = squad("Harbour Mills", "white", numbers)
    desk = BookDesk(YOUTH, replace(SHEET, teams=PerSide(twelve, TIDEGATE)))
    desk.enter(OpenPeriod(1), ClosePeriod(1))
    told = desk.told(OpenPeriod(2), ClosePeriod(2))
    assert [text for text in told if text.startswith("White")] == [
        "White: 2 of 9, 10, 11, 12, 13, 14, 15 must start the 3rd quarter."
    ]


def test_why_a_players_rule_is_lost_is_said() -> None:
    """Seven present: two whole quarters, three at most, one sat out."""
    numbers = ("4", "5", "6", "7", "8", "9", "10")
    seven = squad("Harbour Mills", "white", numbers)
    desk = BookDesk(YOUTH, replace(SHEET, teams=PerSide(seven, TIDEGATE)))
    desk.enter(OpenPeriod(1), Substitution(HOME, ("9",), ("4",)), ClosePeriod(1))
    desk.enter(OpenPeriod(2))
    told = desk.told(Substitution(HOME, ("4",), ("9",)))
    assert "White 4 can't get both the playing time and the rest owed any more." in told


def test_a_rest_that_can_not_be_had_any_more_is_said() -> None:
    rest = PlayingTimeRule(1, whole=0, most=4, out=2, source=league())
    rules = replace(YOUTH, playing_time=PlayingTimeRules((rest,)))
    desk = BookDesk(rules, eight_a_side())
    desk.enter(OpenPeriod(1), OpenPeriod(2))
    told = desk.told(OpenPeriod(3))
    assert "White 4 can't sit out 2 quarters any more." in told


def test_an_arrow_not_turned_after_the_throw_in_of_a_period_is_said_at_its_goal() -> (
    None
):
    """NFHS 6-4-4; FIBA Art. 12 from memory: turned as soon as the throw-in ends."""
    desk = BookDesk(FIBA)
    desk.enter(OpenPeriod(1), Arrow(HOME), Basket(HOME, "4", 2), ClosePeriod(1))
    assert desk.told(OpenPeriod(2)) == []
    assert desk.told(Basket(AWAY, "0", 2)) == [
        "The 2nd quarter opened with a throw-in for white, and the arrow has not been "
        "turned."
    ]
    assert desk.notices[-1].kind is NoticeKind.BOOK_CHECK
    assert desk.told(Basket(AWAY, "0", 2)) == []
    turned = desk.enter(Arrow(AWAY))
    assert desk.told(Basket(AWAY, "0", 2)) == []
    assert len(desk.told(Strike(turned.id))) == 1


@pytest.mark.parametrize(
    "acts",
    [
        pytest.param((OpenPeriod(2), Arrow(AWAY), Arrow(HOME)), id="turned twice"),
        pytest.param((Arrow(AWAY), OpenPeriod(2)), id="turned before it was opened"),
        pytest.param(
            (OpenPeriod(2), Arrow(AWAY), ClosePeriod(2), OpenPeriod(2)),
            id="closed by mistake and opened again",
        ),
    ],
)
def test_an_arrow_that_was_turned_is_not_asked_for(acts: tuple[Act, ...]) -> None:
    desk = BookDesk(FIBA)
    desk.enter(OpenPeriod(1), Arrow(HOME), ClosePeriod(1))
    assert desk.told(*acts, Basket(HOME, "4", 2)) == []


def test_an_arrow_is_not_asked_for_where_none_is_kept_or_after_a_jump_ball() -> None:
    """NFHS 6-4-1: a jump ball opens each overtime."""
    without = BookDesk(FIBA)
    assert without.told(OpenPeriod(2), Basket(HOME, "4", 2)) == []
    desk = BookDesk(OLD)
    desk.enter(OpenPeriod(4), Arrow(HOME), ClosePeriod(4))
    assert desk.told(OpenPeriod(5), Basket(HOME, "4", 2)) == []
