"""Acts in the words that the table uses, team by its colour."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.acts import (
    Act,
    Answer,
    Answered,
    Arrow,
    Basket,
    Charged,
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
    TimeOutLength,
    Unavailable,
)

if TYPE_CHECKING:
    from tablesync.core.rules import RuleSet
    from tablesync.core.sheet import GameSheet

__all__ = ["act_words", "clock_words"]

_POINTS = {1: "one point", 2: "two points", 3: "three points"}


def act_words(act: Act, sheet: GameSheet, rules: RuleSet) -> str:
    """What an act says, in a few words: "white 4: two points"."""
    match act:
        case Basket(side=side, number=number, points=points):
            return f"{sheet.colour(side)} {number}: {_POINTS[points]}"
        case FreeThrow(side=side, number=number, made=made):
            how = "made" if made else "missed"
            return f"{sheet.colour(side)} {number}: free throw {how}"
        case Foul(side=side, number=number, charged=charged, kind=kind):
            whom = number if charged is Charged.PLAYER else charged
            return f"{sheet.colour(side)} {whom}: {kind} foul"
        case Substitution(side=side, on=on, off=off):
            moves = [f"{', '.join(on)} on"] if on else []
            moves += [f"{', '.join(off)} off"] if off else []
            return f"{sheet.colour(side)}: {'; '.join(moves)}"
        case Points(side=side, points=points):
            return f"+{points} {sheet.colour(side)}"
        case TeamFoul(side=side):
            return f"team foul {sheet.colour(side)}"
        case ClockStart():
            return "clock starts"
        case ClockStop():
            return "clock stops"
        case SetClock(remaining_ms=remaining_ms):
            return f"clock set to {clock_words(remaining_ms)}"
        case TimeOut(side=side, length=length):
            short = "short " if length is TimeOutLength.SHORT else ""
            return f"{short}time-out {sheet.colour(side)}"
        case Arrow(side=side):
            return f"arrow to {sheet.colour(side)}"
        case OpenPeriod(period=period):
            return f"{rules.period_title(period)} opens"
        case ClosePeriod(period=period):
            return f"{rules.period_title(period)} closes"
        case Strike():
            return "strikes out an entry"
        case Note(text=text):
            return f"note: {text}"
        case LetStand(reason=reason):
            return f"lets a difference stand: {reason}"
        case OwnBasket(side=side, points=points):
            return f"{sheet.colour(side)}: {_POINTS[points]} from an own basket"
        case Unavailable(side=side, number=number, reason=reason):
            return f"{sheet.colour(side)} {number} not available: {reason}"
        case Correction(act=corrected, reason=reason):
            what = act_words(corrected, sheet, rules) if corrected else "struck out"
            return f"correction, {what}: {reason}"
        case SignOff(role=role, name=name):
            return f"signed by the {role}: {name}"
        case Protest(side=side, reason=reason):
            return f"protest by {sheet.colour(side)}: {reason}"
        case Shown(text=text):
            return f"shown: {text}"
        case Answered(answer=answer):
            is_held = answer is Answer.HELD
            return "holds it for the referees" if is_held else "has put it right"
        case SeatTaken():
            return "a device is let in to the seat"
        case SeatGiven(seat=seat, device=device):
            return f"confirms device {device.hex()[:8]} at the {seat} seat"


def clock_words(remaining_ms: int) -> str:
    """A clock reading: "7:03", and with tenths in the last minute, "42.5"."""
    if remaining_ms < 60_000:
        return f"{remaining_ms // 1000}.{remaining_ms // 100 % 10}"
    # The clock shows a second until it is over, as a scoreboard does.
    seconds = -(-remaining_ms // 1000)
    return f"{seconds // 60}:{seconds % 60:02}"
