"""How the courts stand, and their order; common practice, no source."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from tablesync.core.acts import Seat
from tablesync.core.court_state import CourtState, ranked, state_of
from tablesync.core.summary import (
    Findings,
    Linked,
    Named,
    OpenFinding,
    Played,
    Summary,
    Tallied,
    Waiting,
    Written,
)
from tablesync.core.tally import PerSide

NOTHING = PerSide(0, 0)
AGREED = Summary(
    Named("A v B", "1", PerSide("A", "B"), 4),
    Tallied(Seat.BOOK, NOTHING, NOTHING, NOTHING, 1, None),
    Tallied(Seat.CLOCK, NOTHING, NOTHING, NOTHING, 1, None),
    Played(1, 60_000, running=False, at_ms=0),
    Findings(0, ()),
    Waiting(0, 0),
    Linked(Seat.BOOK, 1, 0),
    Linked(Seat.CLOCK, 1, 0),
    Written(3, Seat.BOOK, 5, "x", is_signed=False),
)


def at(court: str, summary: Summary = AGREED) -> Summary:
    return replace(summary, named=replace(AGREED.named, court=court))


def differing(raised_at_ms: int) -> Summary:
    findings = Findings(1, (OpenFinding("f", "text", raised_at_ms),))
    return replace(AGREED, findings=findings)


UNLINKED = replace(AGREED, timer=Linked(Seat.CLOCK, 0, 4))
TWICE = replace(AGREED, scorer=Linked(Seat.BOOK, 2, 0))
AHEAD = replace(AGREED, book=replace(AGREED.book, score=PerSide(2, 0)))
WAITING = replace(AGREED, waiting=Waiting(1, 5))
SIGNED = replace(UNLINKED, written=replace(AGREED.written, is_signed=True))
EMPTY = replace(UNLINKED, written=Written(0, None, 0, "", is_signed=False))


@pytest.mark.parametrize(
    ("summary", "state"),
    [
        (AGREED, CourtState.AGREED),
        (differing(1), CourtState.MISMATCH),
        (replace(SIGNED, findings=differing(1).findings), CourtState.MISMATCH),
        (UNLINKED, CourtState.CUT_OFF),
        (TWICE, CourtState.CUT_OFF),
        (AHEAD, CourtState.SETTLING),
        (WAITING, CourtState.SETTLING),
        (SIGNED, CourtState.QUIET),
        (EMPTY, CourtState.QUIET),
    ],
)
def test_court_stands_as_its_worst_trouble(summary: Summary, state: CourtState) -> None:
    assert state_of(summary) is state


def test_worst_court_comes_first_and_equals_by_their_number() -> None:
    order = [
        at("4", differing(10)),
        at("3", differing(20)),
        at("12", UNLINKED),
        at("5", AHEAD),
        at("9"),
        at("10"),
        at("1", SIGNED),
    ]
    for seed in range(20):
        shuffled = list(order)
        Random(seed).shuffle(shuffled)
        assert ranked(shuffled) == order
