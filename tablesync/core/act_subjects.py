"""Whom an act is about."""

from __future__ import annotations

from dataclasses import dataclass
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
    Substitution,
    TeamFoul,
    TimeOut,
    Unavailable,
)

if TYPE_CHECKING:
    from tablesync.core.acts import Side

__all__ = ["Subject", "subject_of"]


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
