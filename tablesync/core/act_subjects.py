"""Whom an act is about, and which entry it reaches back to."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.acts import (
    Act,
    Arrow,
    Basket,
    Correction,
    Foul,
    FreeThrow,
    OwnBasket,
    Points,
    Protest,
    Strike,
    Substitution,
    TeamFoul,
    TimeOut,
    Unavailable,
)
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from tablesync.core.acts import EntryId, Side

__all__ = ["Subject", "subject_of", "target_of"]


@dataclass(frozen=True, slots=True)
class Subject:
    """A team, and those of its players that an act names."""

    side: Side
    numbers: frozenset[str] = frozenset()


def subject_of(act: Act) -> Subject | None:
    """Whom an act names; None where it names no team."""
    match act:
        case (
            Basket(side=side, number=number)
            | FreeThrow(side=side, number=number)
            | Unavailable(side=side, number=number)
            | Foul(side=side, number=str(number))
        ):
            return Subject(side, frozenset({number}))
        case Substitution(side=side, on=on, off=off):
            return Subject(side, frozenset({*on, *off}))
        case (
            Foul(side=side)
            | Points(side=side)
            | TeamFoul(side=side)
            | TimeOut(side=side)
            | Arrow(side=side)
            | OwnBasket(side=side)
            | Protest(side=side)
        ):
            return Subject(side)
        case Correction(act=corrected) if corrected is not None:
            return subject_of(corrected)
        case _:
            return None


def target_of(act: Act) -> EntryId | None:
    """The entry that a strike or correction reaches back to; None for other acts."""
    match act:
        case Strike(target=target) | Correction(target=target):
            return target
        case _:
            return None
