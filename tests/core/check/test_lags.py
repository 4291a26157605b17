"""Lags are learned from differences alone, and one outlier does not move them."""

from __future__ import annotations

from math import exp, log
from random import Random

import pytest
from scipy.stats import lognorm

from tablesync.core.acts import Seat
from tablesync.core.check.claims import Pace
from tablesync.core.check.lags import MEDIAN_S, Lags

PAIR = (Seat.BOOK, Seat.CLOCK)
GOAL = Pace.GOAL


def learned(book_s: float, board_s: float, spread: float, pairs: int) -> Lags:
    random, lags = Random(3), Lags(PAIR)
    for _ in range(pairs):
        book = book_s * exp(random.gauss(0.0, spread))
        board = board_s * exp(random.gauss(0.0, spread))
        lags.learn(GOAL, board - book)
    return lags


def test_a_lag_without_stragglers_is_the_log_normal_of_scipy() -> None:
    """`scipy.stats.lognorm` (SciPy) with the same median and spread."""
    lag = learned(2.0, 1.0, 0.3, 200)._known[0].lags[GOAL]
    theirs = lognorm(s=lag.spread, scale=exp(lag.log_median))
    for lag_s in (0.5, 1.0, 2.0, 3.0, 5.0):
        ordinary, _ = lag.parts(lag_s)
        assert ordinary == pytest.approx((1 - lag.share) * theirs.pdf(lag_s))
        survival = (1 - lag.share) * theirs.sf(lag_s) + lag.share
        assert lag.survival(lag_s) == pytest.approx(survival, abs=1e-6)


@pytest.mark.parametrize(("book_s", "board_s"), [(2.0, 1.0), (4.0, 1.5), (1.5, 3.0)])
def test_the_difference_of_the_medians_is_found(book_s: float, board_s: float) -> None:
    lags = learned(book_s, board_s, 0.3, 120)
    difference = lags.median_s(0, GOAL) - lags.median_s(1, GOAL)
    assert difference == pytest.approx(book_s - board_s, abs=0.5)


def test_a_seat_that_was_held_up_once_keeps_its_lag() -> None:
    lags = learned(2.0, 1.0, 0.3, 60)
    before = lags.median_s(0, GOAL)
    lags.learn(GOAL, 1.0 - 12.5)
    assert lags.median_s(0, GOAL) == pytest.approx(before, rel=0.05)


def test_survival_falls_and_is_what_remains_of_the_density() -> None:
    lags = learned(2.6, 1.3, 0.5, 50)
    step_s = 0.02
    for later_s in (0.0, 1.0, 3.0, 8.0):
        summed = step_s * sum(
            lags.density(0, GOAL, later_s + (i + 0.5) * step_s) for i in range(1500)
        )
        assert lags.survival(0, GOAL, later_s) == pytest.approx(summed, abs=0.01)


def test_stragglers_are_expected_once_some_were_seen() -> None:
    punctual, straggling = (learned(2.0, 1.0, 0.3, 60) for _ in range(2))
    for _ in range(5):
        straggling.learn(GOAL, 1.0 - 12.0)
    late = punctual.survival(0, GOAL, 8.0)
    assert straggling.survival(0, GOAL, 8.0) > 5 * late


def test_the_prior_medians_hold_before_the_first_pair() -> None:
    lags = Lags(PAIR)
    for record, seat in enumerate(PAIR):
        assert log(lags.median_s(record, GOAL)) == pytest.approx(log(MEDIAN_S[seat]))
