"""A device that signs its own entries wrongly on purpose keeps nobody out.

It stands by them with a valid signature over what comes next, so they are taken. But
whoever catches up is sent them in pages that may end on one of them.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from tablesync.core.acts import Note, Seat
from tablesync.core.entries import digest_of
from tablesync.core.vector_clock import VectorClock
from tablesync.seal import Pen, is_sealed
from tablesync.sync.codec import encode
from tablesync.sync.messages import PROTOCOL, Entries, Hello, Sealed
from tests.sync.table import GAME, KEYS, Device, Table, claim_of

if TYPE_CHECKING:
    from tablesync.core.entries import Entry

BOOK, CLOCK, SCOUNDREL = KEYS[:3]
SPOILT = bytes(64)
TEXT = "x" * 150
"""So that some 190 entries are a page."""


def written(run: int, count: int) -> list[Entry]:
    """Entries of which only every so many-th is signed."""
    entries: list[Entry] = []
    for number in range(1, count + 1):
        pen = Pen(SCOUNDREL, Seat.VISITING, GAME)
        if entries:
            pen.resume(entries[-1])
        entry = pen.write(Note(TEXT), VectorClock(), number * 10)
        if number % run:
            digest = digest_of(entry.payload, SPOILT)
            entry = replace(entry, signature=SPOILT, digest=digest)
        entries.append(entry)
    return entries


def bring(table: Table, entries: list[Entry], run: int) -> None:
    """Has the relay take them, each run with the entry that vouches for it."""
    hello = Hello(PROTOCOL, GAME, SCOUNDREL.device, Seat.VISITING, {})
    side = table.relay.game.admit(hello, table.now_ms)
    for start in range(0, len(entries), run):
        page = tuple(
            Sealed(one.payload, one.signature) for one in entries[start : start + run]
        )
        side.receive_frame(encode(Entries(page)), table.now_ms)
        assert not side.is_closing
    table.relay.settle()
    side.disconnected()


@pytest.mark.parametrize("run", [2, 60, 150])
def test_who_catches_up_comes_to_hold_all_of_it(run: int) -> None:
    book, clock = Device(claim_of(BOOK, Seat.BOOK)), Device(claim_of(CLOCK, Seat.CLOCK))
    table = Table(book, clock)
    table.connect_all()
    entries = written(run, count=600)
    assert sum(map(is_sealed, entries)) == 600 // run
    table.cut(clock)
    bring(table, entries, run)
    held = [len(clock.holder.history)]
    while held[-1] < len(entries):
        table.connect(clock)
        table.run(100)
        held.append(len(clock.holder.history))
        assert held[-1] > held[-2], "it has come no further"
    assert len(held) <= 1 + 5
    table.enter(book, "they play on")
    table.run(1_000)
    assert clock.side.is_linked
    assert table.holdings()[1] == table.relay.digests
