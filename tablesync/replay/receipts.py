"""When each entry is shown to have reached another seat.

An entry says what its device held. So the first entry of another seat that knew of this
one shows that it had arrived by then; it may have arrived sooner.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from tablesync.core.acts import Seat
    from tablesync.core.entries import Entry
    from tablesync.replay.replay import Replay

__all__ = ["Apart", "Receipt", "receipts_of", "stretches_apart", "with_all_until"]

USUAL_MS = 5_000
"""What is on its way for less is not missing yet."""
SHORTEST_MS = 30_000
FEWEST = 2


@dataclass(frozen=True, slots=True)
class Receipt:
    """What the record shows of one entry's arrival at one seat."""

    seat: Seat
    by: Entry | None
    """The seat's first entry that knew of it; None where none ever did."""
    after_ms: int | None
    """How long after the entry that was, in table time."""
    without: int
    """How many entries the seat made after it in the common order, not knowing it."""


@dataclass(frozen=True, slots=True)
class Apart:
    """A stretch in which a seat entered without having what the others had entered."""

    from_ms: int
    to_ms: int
    entries: int


def receipts_of(replay: Replay, entry: Entry) -> tuple[Receipt, ...]:
    """What shows that an entry reached the other seats."""
    place = replay.history.place(entry)
    later = replay.history.entries_from(place)[1:]
    return tuple(
        _receipt(replay, entry, seat, [one for one in later if one.seat is seat])
        for seat in replay.seats
        if seat is not entry.seat
    )


def _receipt(replay: Replay, entry: Entry, seat: Seat, later: list[Entry]) -> Receipt:
    for without, one in enumerate(later):
        if one.knew(entry):
            started_ms = replay.history.place(entry).time_ms
            after_ms = replay.history.place(one).time_ms - started_ms
            return Receipt(seat, one, after_ms, without)
    return Receipt(seat, None, None, len(later))


def with_all_until(replay: Replay, seat: Seat, at_ms: int) -> Entry | None:
    """The seat's first entry that shows it had the other records up to a table time.

    It may have had them sooner, and entered nothing. None where no entry shows it.
    """
    beyond = {
        other: [
            entry
            for entry in replay.history
            if entry.seat is other and replay.history.place(entry).time_ms >= at_ms
        ]
        for other in replay.seats
        if other is not seat
    }
    own = (entry for entry in replay.history if entry.seat is seat)
    for entry in own:
        if all(any(map(entry.knew, others)) for others in beyond.values()):
            return entry
    return None


def stretches_apart(replay: Replay, seat: Seat) -> tuple[Apart, ...]:
    """The times in which a seat, by its entries, heard nothing new of the others.

    Only what lasted half a minute, with two entries or more, is told.
    """
    history = replay.history
    others = [entry for entry in history if entry.seat is not seat]
    stretches: list[Apart] = []
    lasts = False
    for entry in history:
        if entry.seat is not seat:
            continue
        at_ms = history.place(entry).time_ms
        due = (o for o in others if history.place(o).time_ms <= at_ms - USUAL_MS)
        if all(map(entry.knew, due)):
            lasts = False
        elif lasts:
            before = stretches.pop()
            stretches.append(Apart(before.from_ms, at_ms, before.entries + 1))
        else:
            stretches.append(Apart(at_ms, at_ms, 1))
            lasts = True
    return tuple(
        one
        for one in stretches
        if one.entries >= FEWEST and one.to_ms - one.from_ms >= SHORTEST_MS
    )
