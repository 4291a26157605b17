from __future__ import annotations

import pytest

from tablesync.core.acts import (
    Act,
    Basket,
    ClosePeriod,
    FreeThrow,
    OpenPeriod,
    Side,
    Substitution,
    TimeOut,
    TimeOutLength,
    Unavailable,
)
from tablesync.core.notices import NoticeKind
from tablesync.core.rulesets import rule_set
from tests.scribe import BookDesk, bench_foul, foul

FIBA, NFHS = rule_set("fiba-2024"), rule_set("nfhs-2023")
HOME, AWAY = Side.HOME, Side.AWAY
FULL = TimeOut(HOME, TimeOutLength.FULL)
SHORT = TimeOut(HOME, TimeOutLength.SHORT)


@pytest.mark.parametrize(
    ("act", "text"),
    [
        (Basket(HOME, "9", 3), "White 9 is not on court; the 3 points stand."),
        (
            FreeThrow(HOME, "9", made=False),
            "White 9 is not on court; the free throw stands.",
        ),
        (foul(HOME, "9"), "White 9 is not on court; the foul stands."),
    ],
)
def test_an_act_of_somebody_who_is_not_on_court(act: Act, text: str) -> None:
    desk = BookDesk(FIBA)
    desk.enter(OpenPeriod(1))
    assert desk.told(act) == [text]
    assert desk.told(act) == [text]
    assert {n.kind for n in desk.notices} == {NoticeKind.BOOK_CHECK}


def test_what_is_in_order_causes_no_notice() -> None:
    desk = BookDesk(FIBA)
    assert not desk.told(
        OpenPeriod(1),
        Basket(HOME, "4", 2),
        foul(AWAY, "00"),
        FreeThrow(HOME, "4", made=True),
        Substitution(HOME, ("9",), ("4",)),
        Basket(HOME, "9", 2),
        bench_foul(AWAY),
        FULL,
        ClosePeriod(1),
        OpenPeriod(2),
    )


def test_a_disqualified_player_scores_or_fouls_again() -> None:
    desk = BookDesk(FIBA)
    desk.enter(OpenPeriod(1), *[foul(HOME, "4")] * 5)
    assert desk.told(FreeThrow(HOME, "4", made=True)) == [
        "White 4 was out of the game already."
    ]
    assert desk.told(foul(HOME, "4")) == ["White 4 was out of the game already."]


def test_a_disqualified_player_is_said_to_be_on_court_once_play_has_gone_on() -> None:
    desk = BookDesk(FIBA)
    desk.enter(OpenPeriod(1), *[foul(HOME, "4")] * 5)
    assert desk.told(FreeThrow(AWAY, "12", made=True)) == []
    assert desk.told(Basket(AWAY, "12", 2)) == [
        "White 4 is out of the game, but on court."
    ]
    desk.enter(Substitution(HOME, ("9",), ("4",)))
    assert desk.told(Basket(AWAY, "12", 2)) == []
    assert desk.told(Substitution(HOME, ("4",), ("9",))) == [
        "White 4 is out of the game, and came on."
    ]
    assert desk.told(ClosePeriod(1), OpenPeriod(2)) == [
        "White 4 is out of the game, but on court."
    ]


def test_somebody_who_was_noted_as_unable_to_play_comes_on() -> None:
    desk = BookDesk(FIBA)
    desk.enter(Unavailable(HOME, "9", "hurt"), OpenPeriod(1))
    assert desk.told(Substitution(HOME, ("9",), ("4",))) == [
        "White 9 was noted as unable to play."
    ]


def test_a_period_that_starts_with_four() -> None:
    desk = BookDesk(FIBA)
    desk.enter(OpenPeriod(1), ClosePeriod(1), Substitution(HOME, (), ("4",)))
    assert desk.told(OpenPeriod(2)) == ["White starts with 4 on court."]


def test_a_team_that_has_only_four_left_starts_with_four() -> None:
    desk = BookDesk(FIBA)
    gone = [Unavailable(HOME, n, "hurt") for n in ("4", "9", "10", "11")]
    desk.enter(OpenPeriod(1), ClosePeriod(1), Substitution(HOME, (), ("4",)), *gone)
    assert desk.told(OpenPeriod(2)) == []


def test_the_last_time_out_and_one_too_many() -> None:
    """FIBA Art. 18.2.5: two in the first half."""
    desk = BookDesk(FIBA)
    assert desk.told(OpenPeriod(1), FULL) == []
    assert desk.told(FULL) == ["White has no time-outs left in the 1st half."]
    assert desk.told(FULL) == ["White has taken a time-out too many."]
    assert [notice.kind for notice in desk.notices] == [
        NoticeKind.TIME_OUTS_SPENT,
        NoticeKind.BOOK_CHECK,
    ]
    assert desk.told(ClosePeriod(1), OpenPeriod(3), FULL) == []


def test_where_time_outs_are_for_the_game_they_are_spent_for_the_game() -> None:
    """NFHS 5-12-1, 2-11-6."""
    desk = BookDesk(NFHS)
    assert desk.told(OpenPeriod(1), FULL, SHORT, FULL, SHORT) == []
    assert desk.told(FULL) == ["White has no time-outs left."]
    assert desk.told(ClosePeriod(1), OpenPeriod(5), FULL) == [
        "White has no time-outs left."
    ]


def test_a_foul_that_the_code_does_not_have() -> None:
    desk = BookDesk(FIBA)
    assert desk.told(OpenPeriod(1), foul(HOME, "4", "flagrant")) == [
        "White 4 has a foul that FIBA 2024 does not know, flagrant of a player."
    ]
    assert desk.told(bench_foul(HOME, "flagrant")) == [
        "White has a foul that FIBA 2024 does not know, flagrant of the bench."
    ]
