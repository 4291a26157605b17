"""The game of a scenario, from entries as its two devices would have written them.

The keys of these devices are known to everybody: what they sign shows nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.acts import EntryId, Seat, Strike
from tablesync.core.game import Game
from tablesync.core.vector_clock import VectorClock
from tablesync.frozen import dataclass
from tablesync.scenario import Enter, LinkChange, LinkState, Scenario, StrikeOut
from tablesync.seal import DeviceKey, Pen
from tablesync.sheet_bytes import game_id, write_sheet

if TYPE_CHECKING:
    from tablesync.core.entries import Entry
    from tablesync.core.vector_clock import DeviceId

__all__ = ["OPEN_KEYS", "Entered", "concluded", "entered"]

OPEN_KEYS = {Seat.BOOK: DeviceKey(b"b" * 32), Seat.CLOCK: DeviceKey(b"c" * 32)}
USUAL_DELAY_MS = 50
NEVER_MS = 2**53


@dataclass(frozen=True, slots=True)
class Entered:
    """A scenario's entries in order of time, and what the scenario calls them."""

    game: bytes
    """The game's id."""
    entries: tuple[Entry, ...]
    labels: dict[str, EntryId]


def entered(scenario: Scenario, delay_ms: int = USUAL_DELAY_MS) -> Entered:
    """Writes the scenario's entries; each device hears of the other's after a delay.

    While a seat is cut off neither hears of the other; it all arrives when it is back.
    """
    game = game_id(write_sheet(scenario.sheet))
    cuts = _cuts(scenario)
    pens = {seat: Pen(key, seat, game) for seat, key in OPEN_KEYS.items()}
    entries: list[Entry] = []
    labels: dict[str, EntryId] = {}
    for step in scenario.steps:
        if not isinstance(step, Enter):
            continue
        act = step.act
        if isinstance(act, StrikeOut):
            act = Strike(labels[act.label])
        heard = [e for e in entries if _arrival(e, delay_ms, cuts) <= step.t_ms]
        entry = pens[step.seat].write(act, _known(heard), step.t_ms)
        entries.append(entry)
        if step.label is not None:
            labels[step.label] = entry.id
    return Entered(game, tuple(entries), labels)


def concluded(scenario: Scenario) -> Game:
    """The game of a scenario as it stands at its end."""
    made = entered(scenario)
    game = Game(scenario.sheet, scenario.rules, made.game)
    for entry in made.entries:
        game.receive(entry)
    game.conclude()
    return game


def _cuts(scenario: Scenario) -> list[tuple[int, int]]:
    """From when to when a seat was cut off, whichever it was."""
    cuts: list[tuple[int, int]] = []
    down: dict[Seat, int] = {}
    for step in scenario.steps:
        if isinstance(step, LinkChange) and step.state is LinkState.DOWN:
            down[step.seat] = step.t_ms
        elif isinstance(step, LinkChange) and step.seat in down:
            cuts.append((down.pop(step.seat), step.t_ms))
    return [*cuts, *((since_ms, NEVER_MS) for since_ms in down.values())]


def _arrival(entry: Entry, delay_ms: int, cuts: list[tuple[int, int]]) -> int:
    """When the other device has an entry."""
    at_ms = entry.table_time_ms + delay_ms
    back_ms = (up + delay_ms for down, up in cuts if down <= at_ms < up + delay_ms)
    return max(back_ms, default=at_ms)


def _known(entries: list[Entry]) -> VectorClock:
    counts: dict[DeviceId, int] = {}
    for entry in entries:
        counts[entry.id.device] = entry.id.number
    return VectorClock(counts)
