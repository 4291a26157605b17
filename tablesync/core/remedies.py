"""The ways out of a finding: the acts by which a seat can put its own record right."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.acts import (
    Act,
    Arrow,
    Basket,
    Correction,
    OpenPeriod,
    Points,
    Seat,
    Side,
    Strike,
    TeamFoul,
    TimeOut,
)
from tablesync.core.findings import Remedy
from tablesync.core.tally import Item, Mark

if TYPE_CHECKING:
    from tablesync.core.entries import Entry
    from tablesync.core.sheet import GameSheet

__all__ = ["FOUND", "added", "arrow_set", "corrected", "period_opened", "struck"]

FOUND = "missing, found by the check"
"""The reason of an addition that a finding asked for."""


def added(seat: Seat, mark: Mark, like: Act, at_ms: int, sheet: GameSheet) -> Remedy:
    """The seat adds what it lacks, at its place, as the other's act shows it."""
    assert mark.side is not None
    act = _like(seat, mark, like)
    label = f"add {_words(mark)} {sheet.teams[mark.side].name}"
    if act is None:
        return Remedy(seat, (), f"{label}: choose the player")
    return Remedy(seat, (Correction(None, act, at_ms, FOUND),), label)


def struck(entry: Entry, mark: Mark, sheet: GameSheet) -> Remedy:
    """The seat strikes out what it has too much."""
    assert mark.side is not None
    label = f"strike {_words(mark)} {sheet.teams[mark.side].name}"
    return Remedy(entry.seat, (Strike(entry.id),), label)


def corrected(entry: Entry, right: Mark, like: Act, sheet: GameSheet) -> Remedy:
    """The seat strikes its entry out and enters the act as the other has it."""
    assert right.side is not None
    strike = Strike(entry.id)
    label = f"make it {_words(right)} {sheet.teams[right.side].name}"
    match entry.act:
        case Basket(side=right.side, number=number) if right.amount > 1:
            return Remedy(
                entry.seat, (strike, Basket(right.side, number, right.amount)), label
            )
        case _:
            pass
    act = _like(entry.seat, right, like)
    if act is None:
        return Remedy(entry.seat, (strike,), f"{label}: strike, choose the player")
    return Remedy(entry.seat, (strike, act), label)


def period_opened(seat: Seat, period: int, title: str) -> Remedy:
    """The seat opens the period that the other has opened."""
    return Remedy(seat, (OpenPeriod(period),), f"open the {title}")


def arrow_set(seat: Seat, side: Side, sheet: GameSheet) -> Remedy:
    """The seat turns the arrow to where the other has it."""
    return Remedy(seat, (Arrow(side),), f"arrow to {sheet.teams[side].name}")


def _like(seat: Seat, mark: Mark, like: Act) -> Act | None:
    """The seat's own act with that mark; None where it takes a player's number."""
    assert mark.side is not None
    match mark.item, seat:
        case Item.SCORE, Seat.CLOCK:
            return Points(mark.side, mark.amount)
        case Item.TEAM_FOULS, Seat.CLOCK:
            return TeamFoul(mark.side)
        case Item.TIME_OUTS, _ if isinstance(like, TimeOut):
            return TimeOut(mark.side, like.length)
        case _:
            return None


def _words(mark: Mark) -> str:
    match mark.item:
        case Item.SCORE:
            return f"+{mark.amount}"
        case Item.TEAM_FOULS:
            return "foul"
        case _:
            return "time-out"
