"""The lanes of a recorded game, labelled in German."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mobile.texts.german_words import RECORDS, colour, time
from tablesync.chart.labels import Labels
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
    Unavailable,
)

if TYPE_CHECKING:
    from tablesync.core.acts import Side
    from tablesync.replay.wording import Recorded

__all__ = ["LABELS"]

_CHARGED = {Charged.COACH: "Trainer", Charged.BENCH: "Bank"}


def _tag(act: Act, game: Recorded) -> str:
    """An act in a few letters, team by its colour."""
    match act:
        case Basket(side=side, number=number, points=points):
            return f"{_team(game, side)} {number} +{points}"
        case FreeThrow(side=side, number=number, made=made):
            return f"{_team(game, side)} {number} {'+1' if made else 'verfehlt'}"
        case Foul(side=side, number=number, charged=charged):
            return f"{_team(game, side)} {number or _CHARGED[charged]} Foul"
        case Substitution(side=side, on=on, off=off):
            moves = [f"{','.join(on)} ein"] if on else []
            moves += [f"{','.join(off)} aus"] if off else []
            return f"{_team(game, side)} {' '.join(moves)}"
        case Points(side=side, points=points) | OwnBasket(side=side, points=points):
            return f"{_team(game, side)} +{points}"
        case TeamFoul(side=side):
            return f"{_team(game, side)} Foul"
        case TimeOut(side=side):
            return f"{_team(game, side)} Auszeit"
        case Arrow(side=side):
            return f"Pfeil {_team(game, side)}"
        case Unavailable(side=side, number=number):
            return f"{_team(game, side)} {number} fehlt"
        case Protest(side=side):
            return f"Protest {_team(game, side)}"
        case Correction(act=None):
            return "gestrichen"
        case Correction(act=corrected) if corrected is not None:
            return f"berichtigt: {_tag(corrected, game)}"
        case _:
            return _plain_tag(act)


def _team(game: Recorded, side: Side) -> str:
    return colour(game.sheet.colour(side))


def _plain_tag(act: Act) -> str:
    match act:
        case OpenPeriod(period=period):
            return f"{period}. beginnt"
        case ClosePeriod(period=period):
            return f"{period}. endet"
        case SetClock(remaining_ms=remaining_ms):
            return f"Uhr {time(remaining_ms)}"
        case ClockStart():
            return "Start"
        case ClockStop():
            return "Stopp"
        case Strike():
            return "streicht"
        case Note():
            return "Vermerk"
        case LetStand():
            return "bleibt so"
        case Shown():
            return "angezeigt"
        case Answered(answer=answer):
            return "zurückgestellt" if answer is Answer.HELD else "berichtigt"
        case SeatTaken():
            return "zugelassen"
        case SeatGiven():
            return "neues Gerät"
        case SignOff():
            return "unterschrieben"
        case _:
            raise AssertionError(f"no tag for {act}")


LABELS = Labels(
    tag=_tag,
    seat=RECORDS.__getitem__,
    clock=time,
    before="vorher",
    struck="gestrichen",
    lacking="fehlt hier",
    differs=lambda clock: f"verschieden ab {clock}",
    shown=lambda seats: f"angezeigt: {seats}",
)
