"""What this seat has entered, newest first, with the ways to set it right."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import islice
from typing import TYPE_CHECKING

from mobile.presenters.intents import Amend, Enter
from tablesync.core.acts import (
    Answered,
    Arrow,
    Basket,
    Correction,
    Foul,
    FreeThrow,
    LetStand,
    Note,
    OwnBasket,
    Points,
    Protest,
    Shown,
    Strike,
    Substitution,
    TeamFoul,
    TimeOut,
)

if TYPE_CHECKING:
    from mobile.presenters.intents import Intent
    from mobile.presenters.seat_view import SeatView
    from tablesync.core.acts import EntryId
    from tablesync.core.entries import Entry

__all__ = ["EntryLine", "entry_lines", "take_back"]


_UNSEEN = Strike | Correction | Shown | Answered
"""Strikes show on what they strike; what the device was told has its cards."""
_SAID = Note | LetStand | Protest
"""Words are not taken back."""


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


def entry_lines(view: SeatView, most: int) -> tuple[EntryLine, ...]:
    """The newest entries, at most so many; strikes show on what they strike."""
    struck_by = {
        one.target: one.entry.id for one in view.my_record.corrections if one.in_force
    }
    entries = (
        entry
        for entry in reversed(view.my_record)
        if not isinstance(entry.act, _UNSEEN)
    )
    return tuple(
        _line(view, entry, struck_by.get(entry.id)) for entry in islice(entries, most)
    )


def take_back(view: SeatView) -> Intent | None:
    """Strikes out the newest entry that stands, or None where there is none."""
    record = view.my_record
    for entry in reversed(record):
        if not isinstance(entry.act, _UNSEEN | _SAID) and record.counts(entry):
            return Enter((Strike(entry.id),))
    return None


def _line(view: SeatView, entry: Entry, struck_by: EntryId | None) -> EntryLine:
    texts = view.texts.entries
    is_struck = struck_by is not None
    return EntryLine(
        entry.id,
        _moment(view, entry),
        view.texts.say.act(entry.act, view.game),
        is_struck,
        _strike(entry, struck_by),
        texts.restore if is_struck else texts.strike,
        None if is_struck else _amend(entry),
    )


def _strike(entry: Entry, struck_by: EntryId | None) -> Intent | None:
    if struck_by is not None:
        return Enter((Strike(struck_by),))
    if isinstance(entry.act, _SAID):
        return None
    return Enter((Strike(entry.id),))


def _amend(entry: Entry) -> Intent | None:
    match entry.act:
        case (
            Basket()
            | OwnBasket()
            | FreeThrow()
            | Foul()
            | Substitution()
            | Points()
            | TeamFoul()
            | TimeOut()
            | Arrow()
        ):
            return Amend(entry.id)
        case _:
            return None


def _moment(view: SeatView, entry: Entry) -> str:
    reading = view.game.board.clock.reading(entry.table_time_ms)
    if reading.period == 0:
        return view.texts.entries.before
    return view.texts.say.time(reading.remaining_ms)
