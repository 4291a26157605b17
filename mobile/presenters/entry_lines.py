"""What this seat has entered, newest first, with the ways to set it right."""

from __future__ import annotations

from itertools import islice
from typing import TYPE_CHECKING

from mobile.presenters.intents import Amend, AskWhy, Enter, Fix, GiveReason, LeafThrough
from tablesync.core.acts import (
    Answered,
    Arrow,
    Basket,
    ClosePeriod,
    Correction,
    Foul,
    FreeThrow,
    LetStand,
    Note,
    OwnBasket,
    Points,
    Protest,
    SeatGiven,
    SeatTaken,
    Shown,
    Strike,
    TeamFoul,
    TimeOut,
)
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from mobile.presenters.desk import Desk
    from mobile.presenters.intents import Intent
    from mobile.presenters.seat_view import SeatView
    from tablesync.core.acts import EntryId
    from tablesync.core.entries import Entry

__all__ = ["EntryLeaf", "EntryLine", "entry_leaf", "entry_lines", "take_back"]


_UNSEEN = Strike | Correction | Shown | Answered | SeatTaken | SeatGiven
"""Strikes show on what they strike; what the device was told has its cards."""
_SAID = Note | LetStand | Protest
"""Words are not taken back."""
_AMENDABLE = Basket | OwnBasket | FreeThrow | Foul | Points | TeamFoul | TimeOut | Arrow
"""A substitution is not: who is on court depends on it, so it is struck first."""
LINES_ON_LEAF = 6


@dataclass(frozen=True, slots=True)
class EntryLine:
    """One entry as a line."""

    entry: EntryId
    moment: str
    """Period and clock at which it was entered."""
    words: str
    struck: bool
    strike: Intent | None
    """Strikes it out, or where it is struck takes the strike back."""
    strike_label: str
    amend: Intent | None


@dataclass(frozen=True, slots=True)
class EntryLeaf:
    """One leaf of the list of all entries."""

    title: str
    lines: tuple[EntryLine, ...]
    older: Intent | None
    newer: Intent | None
    reasons: tuple[tuple[str, Intent], ...]
    """The reasons to choose from, while one is asked for."""
    asked: str
    """What the reason is asked for, or empty."""


def entry_lines(view: SeatView, most: int, skip: int = 0) -> tuple[EntryLine, ...]:
    """The newest entries, at most so many; strikes show on what they strike."""
    struck_by = {
        one.target: one.entry.id for one in view.my_record.corrections if one.in_force
    }
    closed_ms = _closed_ms(view)
    entries = (
        entry
        for entry in reversed(view.my_record)
        if not isinstance(entry.act, _UNSEEN)
    )
    return tuple(
        _line(view, entry, struck_by.get(entry.id), closed_ms)
        for entry in islice(entries, skip, skip + most)
    )


def entry_leaf(view: SeatView, desk: Desk) -> EntryLeaf:
    """The leaf to which the list is turned."""
    texts, skip = view.texts.entries, desk.leaf * LINES_ON_LEAF
    lines = entry_lines(view, LINES_ON_LEAF + 1, skip)
    asked = next(
        (line for line in lines if desk.why and line.entry == desk.why.entry), None
    )
    reasons = tuple((reason, GiveReason(reason)) for reason in texts.reasons)
    return EntryLeaf(
        texts.title,
        lines[:LINES_ON_LEAF],
        older=LeafThrough(1) if len(lines) > LINES_ON_LEAF else None,
        newer=LeafThrough(-1) if desk.leaf else None,
        reasons=reasons if asked is not None else (),
        asked="" if asked is None else texts.why(asked.words),
    )


def take_back(view: SeatView) -> Intent | None:
    """Strikes out the newest entry that stands, or None where there is none."""
    record = view.my_record
    for entry in reversed(record):
        if not isinstance(entry.act, _UNSEEN | _SAID) and record.counts(entry):
            return Enter((Strike(entry.id),))
    return None


def _closed_ms(view: SeatView) -> int:
    """When this seat last closed a period; what came before needs a reason."""
    record = view.my_record
    for entry in reversed(record):
        if isinstance(entry.act, ClosePeriod) and record.counts(entry):
            return entry.table_time_ms
    return -1


def _line(
    view: SeatView, entry: Entry, struck_by: EntryId | None, closed_ms: int
) -> EntryLine:
    texts = view.texts.entries
    needs_reason = entry.table_time_ms < closed_ms
    can_strike = not isinstance(entry.act, _SAID)
    can_amend = isinstance(entry.act, _AMENDABLE)
    strike: Intent = Enter((Strike(entry.id),))
    amend: Intent = Amend(entry.id)
    if needs_reason:
        strike, amend = (AskWhy(entry.id, fix) for fix in (Fix.STRIKE, Fix.AMEND))
    if struck_by is not None:
        strike = Enter((Strike(struck_by),))
    return EntryLine(
        entry.id,
        _moment(view, entry),
        view.texts.say.act(entry.act, view.game),
        struck=struck_by is not None,
        strike=strike if can_strike else None,
        strike_label=texts.strike if struck_by is None else texts.restore,
        amend=amend if can_amend and struck_by is None else None,
    )


def _moment(view: SeatView, entry: Entry) -> str:
    reading = view.game.board.clock.reading(entry.table_time_ms)
    if reading.period == 0:
        return view.texts.entries.before
    return view.texts.say.time(reading.remaining_ms)
