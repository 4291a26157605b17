"""Turns the acts of a scenario into entries, as two devices would write them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from tablesync.core.acts import EntryId, Seat, Strike
from tablesync.core.vector_clock import DeviceId, VectorClock
from tablesync.scenario import Enter, Scenario, StrikeOut
from tablesync.seal import DeviceKey, Pen
from tablesync.sheet_bytes import game_id, write_sheet

if TYPE_CHECKING:
    from tablesync.core.entries import Entry

KEYS = {
    Seat.BOOK: DeviceKey(b"b" * 32),
    Seat.CLOCK: DeviceKey(b"c" * 32),
    Seat.VISITING: DeviceKey(b"v" * 32),
}


@dataclass(frozen=True)
class Entered:
    """A scenario's entries in order of time, and what the scenario calls them."""

    game: bytes
    entries: tuple[Entry, ...]
    labels: dict[str, EntryId]


def entered(scenario: Scenario, delay_ms: int = 50) -> Entered:
    """Writes the scenario's entries; each device hears of the other's after a delay."""
    game = game_id(write_sheet(scenario.sheet))
    pens = {seat: Pen(KEYS[seat], seat, game) for seat in (Seat.BOOK, Seat.CLOCK)}
    entries: list[Entry] = []
    labels: dict[str, EntryId] = {}
    for step in scenario.steps:
        if not isinstance(step, Enter):
            continue
        act = step.act
        if isinstance(act, StrikeOut):
            act = Strike(labels[act.label])
        heard = [e for e in entries if e.table_time_ms <= step.t_ms - delay_ms]
        entry = pens[step.seat].write(act, _known(heard), step.t_ms)
        entries.append(entry)
        if step.label is not None:
            labels[step.label] = entry.id
    return Entered(game, tuple(entries), labels)


def _known(entries: list[Entry]) -> VectorClock:
    counts: dict[DeviceId, int] = {}
    for entry in entries:
        counts[entry.id.device] = entry.id.number
    return VectorClock(counts)
