"""Acts in so few letters that they fit beside a mark: "green 13 +2"."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.act_words import clock_words
from tablesync.core.acts import (
    Act,
    Answer,
    Answered,
    Arrow,
    Basket,
    ClockStart,
    ClockStop,
    ClosePeriod,
    Correction,
    Foul,
    FreeThrow,
    LetStand,
    Note,
    OpenPeriod,
    OwnBasket,
    Points,
    Protest,
    SeatGiven,
    SeatTaken,
    SetClock,
    Shown,
    SignOff,
    Strike,
    Substitution,
    TeamFoul,
    TimeOut,
    Unavailable,
)
from tablesync.replay.moments import period_words

if TYPE_CHECKING:
    from tablesync.core.rules import RuleSet
    from tablesync.core.sheet import GameSheet

__all__ = ["act_tag"]


def act_tag(act: Act, sheet: GameSheet, rules: RuleSet) -> str:
    """An act in a few letters, team by its colour."""
    match act:
        case Basket(side=side, number=number, points=points):
            return f"{sheet.colour(side)} {number} +{points}"
        case FreeThrow(side=side, number=number, made=made):
            return f"{sheet.colour(side)} {number} {'+1' if made else 'missed'}"
        case Foul(side=side, number=number, charged=charged):
            return f"{sheet.colour(side)} {number or charged} foul"
        case Substitution(side=side, on=on, off=off):
            moves = [f"{','.join(on)} on"] if on else []
            moves += [f"{','.join(off)} off"] if off else []
            return f"{sheet.colour(side)} {' '.join(moves)}"
        case Points(side=side, points=points) | OwnBasket(side=side, points=points):
            return f"{sheet.colour(side)} +{points}"
        case TeamFoul(side=side):
            return f"{sheet.colour(side)} foul"
        case TimeOut(side=side):
            return f"{sheet.colour(side)} time-out"
        case Arrow(side=side):
            return f"arrow {sheet.colour(side)}"
        case Unavailable(side=side, number=number):
            return f"{sheet.colour(side)} {number} out"
        case Protest(side=side):
            return f"protest {sheet.colour(side)}"
        case OpenPeriod(period=period):
            return f"{period_words(period, rules)} opens"
        case ClosePeriod(period=period):
            return f"{period_words(period, rules)} closes"
        case SetClock(remaining_ms=remaining_ms):
            return f"set {clock_words(remaining_ms)}"
        case Correction(act=None):
            return "struck"
        case Correction(act=corrected) if corrected is not None:
            return f"corrected: {act_tag(corrected, sheet, rules)}"
        case _:
            return _plain_tag(act)


def _plain_tag(act: Act) -> str:
    match act:
        case ClockStart():
            return "start"
        case ClockStop():
            return "stop"
        case Strike():
            return "strike"
        case Note():
            return "note"
        case LetStand():
            return "let stand"
        case Shown():
            return "shown"
        case Answered(answer=answer):
            return "held" if answer is Answer.HELD else "put right"
        case SeatTaken():
            return "let in"
        case SeatGiven(seat=seat):
            return f"new {seat}"
        case SignOff(role=role):
            return f"signed: {role}"
        case _:
            raise AssertionError(f"no tag for {act}")
