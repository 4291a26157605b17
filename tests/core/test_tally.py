from __future__ import annotations

import pytest

from tablesync.core.acts import (
    Act,
    Arrow,
    Basket,
    ClockStart,
    Correction,
    FreeThrow,
    Note,
    OpenPeriod,
    OwnBasket,
    Points,
    Side,
    TeamFoul,
    TimeOut,
    TimeOutLength,
)
from tablesync.core.rulesets import rule_set
from tablesync.core.tally import EMPTY_TALLY, Item, Mark, PerSide, mark_of, raised
from tests.scribe import coach_foul, foul

FIBA, NFHS = rule_set("fiba-2024"), rule_set("nfhs-2023")
HOME, AWAY = Side.HOME, Side.AWAY


@pytest.mark.parametrize(
    ("act", "mark"),
    [
        (Basket(HOME, "4", 3), Mark(Item.SCORE, HOME, 3)),
        (OwnBasket(HOME, 2), Mark(Item.SCORE, HOME, 2)),
        (Points(AWAY, 1), Mark(Item.SCORE, AWAY, 1)),
        (FreeThrow(AWAY, "12", made=True), Mark(Item.SCORE, AWAY, 1)),
        (FreeThrow(AWAY, "12", made=False), None),
        (foul(HOME, "4"), Mark(Item.TEAM_FOULS, HOME, 1)),
        (TeamFoul(HOME), Mark(Item.TEAM_FOULS, HOME, 1)),
        (coach_foul(HOME), None),
        (TimeOut(AWAY, TimeOutLength.SHORT), Mark(Item.TIME_OUTS, AWAY, 1)),
        (OpenPeriod(3), Mark(Item.PERIOD, None, 3)),
        (Arrow(AWAY), Mark(Item.ARROW, AWAY, 1)),
        (ClockStart(), None),
        (Note("rain on the roof"), None),
        (
            Correction(None, Basket(HOME, "4", 2), 1_000, "left out"),
            Mark(Item.SCORE, HOME, 2),
        ),
        (Correction(None, Note("late"), 1_000, "left out"), None),
    ],
)
def test_what_an_act_means_in_terms_that_all_seats_share(
    act: Act, mark: Mark | None
) -> None:
    assert mark_of(act, FIBA) == mark


def test_a_coachs_foul_is_a_team_foul_where_the_code_says_so() -> None:
    """NFHS 10-5 against FIBA Art. 41."""
    assert mark_of(coach_foul(HOME), NFHS) == Mark(Item.TEAM_FOULS, HOME, 1)


def test_a_tally_grows_mark_by_mark() -> None:
    tally = EMPTY_TALLY
    for mark in (
        Mark(Item.PERIOD, None, 2),
        Mark(Item.SCORE, HOME, 2),
        Mark(Item.SCORE, HOME, 3),
        Mark(Item.TEAM_FOULS, AWAY, 1),
        Mark(Item.TIME_OUTS, AWAY, 1),
        Mark(Item.ARROW, HOME, 1),
    ):
        tally = tally.after(mark, foul_period=2)
    assert tally.period == 2
    assert tally.score == PerSide(5, 0)
    assert tally.team_fouls == PerSide((), (0, 1))
    assert tally.time_outs == PerSide(0, 1)
    assert tally.arrow is HOME
    assert dict(tally.score) == {HOME: 5, AWAY: 0}
    assert EMPTY_TALLY.score == PerSide(0, 0)


def test_counts_by_period_are_filled_up_to_the_one_raised() -> None:
    assert raised((), 3, 2) == (0, 0, 2)
    assert raised((1, 1, 1), 2, 1) == (1, 2, 1)
