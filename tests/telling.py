"""A replay from a few entries told in place."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.game import Game
from tablesync.core.history import History
from tablesync.core.rulesets import rule_set
from tablesync.core.vector_clock import VectorClock
from tablesync.replay.replay import Replay
from tablesync.seal import Pen
from tablesync.sheet_bytes import game_id, write_sheet
from tablesync.sheet_rules import rules_of
from tests.entering import KEYS
from tests.scribe import SHEET

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from tablesync.core.acts import Act, EntryId, Seat
    from tablesync.core.entries import Entry
    from tablesync.core.sheet import GameSheet

__all__ = ["told", "told_entries", "told_game"]


def told_entries(
    *lines: tuple[int, Seat, Act | Callable[[Sequence[EntryId]], Act]],
) -> list[Entry]:
    """Entries at these times; an act that needs ids is made from those before it."""
    game = game_id(write_sheet(SHEET))
    pens: dict[Seat, Pen] = {}
    entries: list[Entry] = []
    seen = VectorClock()
    for at_ms, seat, act in lines:
        pen = pens.setdefault(seat, Pen(KEYS[seat], seat, game))
        made = act([entry.id for entry in entries]) if callable(act) else act
        entry = pen.write(made, seen, at_ms)
        seen = seen.raised({entry.id.device: entry.id.number})
        entries.append(entry)
    return entries


def told(
    *lines: tuple[int, Seat, Act | Callable[[Sequence[EntryId]], Act]],
) -> Replay:
    """The replay of entries at these times, each of which knew all before it."""
    history = History(game_id(write_sheet(SHEET)))
    for entry in told_entries(*lines):
        history.add(entry)
    return Replay(SHEET, rule_set(SHEET.rules), history)


def told_game(
    *lines: tuple[int, Seat, Act | Callable[[Sequence[EntryId]], Act]],
    sheet: GameSheet = SHEET,
) -> Game:
    """The game of such entries, of which no more come, under the rules of a sheet."""
    game = Game(sheet, rules_of(sheet), game_id(write_sheet(SHEET)))
    for entry in told_entries(*lines):
        game.receive(entry)
    game.conclude()
    return game
