"""Makes the record of a scenario, as a relay that held its entries would export it."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from tablesync.checkpoint import countersign, sign_checkpoint
from tablesync.core.acts import Seat
from tablesync.core.clock_sample import Sample
from tablesync.core.history import History
from tablesync.core.merkle import MerkleTree
from tablesync.record.record import Admitted, Countersigned, Record, Software
from tablesync.replay.replay import Replay
from tablesync.scenario import Scenario, read_scenario
from tablesync.seal import DeviceKey
from tablesync.sheet_bytes import game_id, write_sheet
from tablesync.statement import Statement, write_statement
from tablesync.sync.messages import Sealed
from tests.entering import KEYS, Entered, entered
from tests.realgames import made_scenario
from tests.scribe import SHEET

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from tablesync.checkpoint import Checkpoint, Countersignature
    from tablesync.core.entries import Entry
    from tablesync.core.merkle import TreeHead

__all__ = [
    "RELAY",
    "countersigned",
    "real_scenario",
    "record_of",
    "recorded",
    "replay_of",
    "sealed",
    "signed_head",
]

RELAY = DeviceKey(b"r" * 32)
PAIR = (Seat.BOOK, Seat.CLOCK)


def signed_head(head: TreeHead, at_ms: int, game: bytes) -> Checkpoint:
    """The relay's checkpoint over entries with this root."""
    return sign_checkpoint(RELAY, game, head, at_ms, "tablesync 0")


def countersigned(checkpoint: Checkpoint, seat: Seat) -> Countersignature:
    """The countersignature of a seat's device, whose clock is 5 ms behind."""
    at_ms = checkpoint.table_time_ms
    sample = Sample(at_ms, at_ms + 20, at_ms + 20, at_ms + 30)
    statement = write_statement(Statement("tablesync 0", sample))
    return countersign(KEYS[seat], checkpoint, statement)


def sealed(entries: Sequence[Entry]) -> tuple[Sealed, ...]:
    """The exact bytes of entries."""
    return tuple(Sealed(entry.payload, entry.signature) for entry in entries)


def recorded(
    scenario: Scenario, made: Entered | None = None, sizes: Sequence[int] = ()
) -> Record:
    """The record of a scenario's entries, with checkpoints over the first so many."""
    entries = (made or entered(scenario)).entries
    sheet = write_sheet(scenario.sheet)
    tree = MerkleTree(entry.digest for entry in entries)
    checkpoints = [
        signed_head(tree.head_at(size), size * 1_000, game_id(sheet)) for size in sizes
    ]
    return Record(
        software=(Software("tablesync", "0"),),
        sheet=sheet,
        admitted=admitted(entries),
        entries=sealed(entries),
        checkpoints=tuple(
            Countersigned(one, tuple(countersigned(one, seat) for seat in PAIR))
            for one in checkpoints
        ),
    )


def admitted(entries: Sequence[Entry]) -> tuple[Admitted, ...]:
    """The devices of these entries, which came in without a gate."""
    present = {entry.seat for entry in entries}
    return tuple(Admitted(KEYS[seat].device, seat) for seat in PAIR if seat in present)


def record_of(entries: Sequence[Entry]) -> Record:
    """The record of entries under the scribe's sheet, see `telling.told_entries`."""
    return Record(
        software=(Software("tablesync", "0"),),
        sheet=write_sheet(SHEET),
        admitted=admitted(entries),
        entries=sealed(entries),
    )


def replay_of(scenario: Scenario, delay_ms: int = 50) -> Replay:
    """The replay of a scenario's entries."""
    made = entered(scenario, delay_ms)
    history = History(made.game)
    for entry in made.entries:
        history.add(entry)
    return Replay(scenario.sheet, scenario.rules, history)


def real_scenario(name: str, folder: Path, slips: int) -> Scenario:
    """A real game as a scenario, with so many slips planted."""
    lines, _ = made_scenario(name, "usual", slips=slips)
    path = folder / f"{name}.jsonl"
    path.write_text("".join(f"{json.dumps(line)}\n" for line in lines))
    return read_scenario(path)
