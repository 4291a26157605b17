from __future__ import annotations

import pytest

from tablesync.core.act_subjects import Subject, subject_of, target_of
from tablesync.core.acts import (
    Act,
    Arrow,
    Basket,
    Charged,
    ClockStart,
    Correction,
    EntryId,
    Foul,
    FreeThrow,
    Note,
    OwnBasket,
    Points,
    Protest,
    Side,
    Strike,
    Substitution,
    TeamFoul,
    TimeOut,
    TimeOutLength,
    Unavailable,
)
from tablesync.core.vector_clock import DeviceId

HOME = Side.HOME


@pytest.mark.parametrize(
    ("act", "subject"),
    [
        (Basket(HOME, "4", 2), Subject(HOME, frozenset({"4"}))),
        (FreeThrow(HOME, "4", made=False), Subject(HOME, frozenset({"4"}))),
        (
            Foul(HOME, "4", Charged.PLAYER, "personal"),
            Subject(HOME, frozenset({"4"})),
        ),
        (Foul(HOME, None, Charged.COACH, "technical"), Subject(HOME)),
        (Substitution(HOME, ("4",), ("5",)), Subject(HOME, frozenset({"4", "5"}))),
        (Unavailable(HOME, "4", "absent"), Subject(HOME, frozenset({"4"}))),
        (Points(HOME, 2), Subject(HOME)),
        (TeamFoul(HOME), Subject(HOME)),
        (TimeOut(HOME, TimeOutLength.FULL), Subject(HOME)),
        (Arrow(HOME), Subject(HOME)),
        (OwnBasket(HOME, 2), Subject(HOME)),
        (Protest(HOME, "the score"), Subject(HOME)),
        (Correction(None, Points(HOME, 2), 5, "missed"), Subject(HOME)),
        (ClockStart(), None),
        (Note("4 is late"), None),
    ],
)
def test_an_act_is_about_those_that_it_names(act: Act, subject: Subject | None) -> None:
    assert subject_of(act) == subject


def test_a_strike_and_a_correction_reach_back_and_nothing_else_does() -> None:
    entry = EntryId(DeviceId(bytes(32)), 7)
    assert target_of(Strike(entry)) == entry
    assert target_of(Correction(entry, Points(HOME, 2), None, "was two")) == entry
    assert target_of(Correction(None, Points(HOME, 2), 5, "missed")) is None
    assert target_of(Points(HOME, 2)) is None
