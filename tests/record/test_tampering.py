"""Nothing can be done to a record that `verify` does not find, with the entry named.

The record is one with all that a record can have: devices let in through a gate, one of
them replaced, checkpoints and countersignatures with their statements. It is tampered
with as it stands, and by a forger who makes all seals anew.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from functools import cache
from itertools import combinations

import pytest

from tablesync import seal
from tablesync.ed25519 import is_signature
from tablesync.record.assurance import not_shown
from tablesync.record.blocks import (
    FIRST_LINE,
    Block,
    read_blocks,
    write_blocks,
)
from tablesync.record.file import write_record
from tablesync.record.verification import examine
from tests.gated import gated_game

GAME = gated_game()
RECORD = GAME.record()
DATA = write_record(RECORD)
BLOCKS = read_blocks(DATA)
ALL = len(GAME.entries)
FIRST_ENTRY = next(at for at, block in enumerate(BLOCKS) if block.kind == b"E")


def first_fault(data: bytes) -> str:
    """The first fault of a file, which must have one."""
    examined = examine(data)
    assert examined.faults, "nothing was found"
    return str(examined.faults[0])


def extents() -> list[tuple[int, int]]:
    """Where each block of the file begins and ends, seal included."""
    found = []
    at = len(FIRST_LINE)
    for block in (*BLOCKS, Block(b".", b"")):
        stop = at + 1 + 4 + len(block.content) + 32
        found.append((at, stop))
        at = stop
    assert at == len(DATA)
    return found


def name(place: int) -> str:
    return f"entry {place} ({GAME.entries[place - 1].id})"


def test_the_record_is_sound_and_has_every_kind_of_block() -> None:
    assert examine(DATA).is_sound
    assert Counter(block.kind for block in BLOCKS) == {
        b"V": 1,
        b"S": 1,
        b"D": 3,
        b"E": ALL,
        b"C": 2,
    }


def test_every_changed_byte_is_found_and_the_entry_named() -> None:
    for number, (start, stop) in enumerate(extents()):
        place = number - FIRST_ENTRY + 1
        for at in range(start, stop):
            for change in (0x01, 0x80, 0xFF):
                changed = bytearray(DATA)
                changed[at] ^= change
                fault = first_fault(bytes(changed))
                # Where the kind of a block is changed, it can't be told for an entry.
                named = place if at > start else place - 1
                if 1 <= named <= ALL:
                    assert f"entry {named}" in fault
                elif named > ALL:
                    assert f"after {name(ALL)}" in fault


def test_every_changed_byte_of_the_first_line_is_found() -> None:
    for at in range(len(FIRST_LINE)):
        changed = bytearray(DATA)
        changed[at] ^= 0x01
        assert "does not follow the first line" in first_fault(bytes(changed))


def test_every_truncation_is_found() -> None:
    for length in range(len(DATA)):
        first_fault(DATA[:length])


@pytest.fixture
def verified_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Remembers of each signature what the library has found, for speed only."""

    monkeypatch.setattr(seal, "is_signature", cache(is_signature))


@pytest.mark.usefixtures("verified_once")
def test_a_forger_who_makes_the_seals_anew_is_found_at_every_byte() -> None:
    """Of all that is signed. The list of programs is signed by nobody."""
    for number, block in enumerate(BLOCKS[1:], start=1):
        place = number - FIRST_ENTRY + 1
        for at in range(len(block.content)):
            content = bytearray(block.content)
            content[at] ^= 0x01
            forged = [*BLOCKS]
            forged[number] = Block(block.kind, bytes(content))
            fault = first_fault(write_blocks(forged))
            if 1 <= place <= ALL:
                assert fault.startswith(f"entry {place}")


def forged(entries: list[int]) -> str:
    """The first fault of a file with these entries, from 0, sealed anew."""
    sealed = tuple(RECORD.entries[at] for at in entries)
    return first_fault(write_record(replace(RECORD, entries=sealed)))


@pytest.mark.usefixtures("verified_once")
def test_every_entry_that_a_forger_leaves_out_is_named() -> None:
    for gone in range(ALL):
        left = [at for at in range(ALL) if at != gone]
        assert str(GAME.entries[gone].id) in forged(left) or (
            gone == ALL - 1 and f"after {name(ALL - 1)}" in forged(left)
        )


@pytest.mark.usefixtures("verified_once")
def test_every_entry_that_a_forger_doubles_is_named() -> None:
    for again in range(ALL):
        for before in range(ALL + 1):
            entries = list(range(ALL))
            entries.insert(before, again)
            doubled = GAME.entries[again]
            fault = forged(entries)
            assert "once more" in fault or "knew of entry" in fault
            assert str(doubled.id) in fault or before < again


@pytest.mark.usefixtures("verified_once")
def test_every_two_entries_that_a_forger_swaps_are_found() -> None:
    for one, other in combinations(range(ALL), 2):
        entries = list(range(ALL))
        entries[one], entries[other] = other, one
        moved = f"entry {one + 1} ({GAME.entries[other].id}): knew of entry"
        assert forged(entries).startswith(moved)


@pytest.mark.usefixtures("verified_once")
def test_an_admission_can_neither_go_nor_come_nor_change_hands() -> None:
    listed = RECORD.admitted
    for at in range(len(listed)):
        for admitted in (
            (*listed[:at], *listed[at + 1 :]),
            (*listed[: at + 1], *listed[at:]),
            (*listed[:at], replace(listed[at], device=listed[at - 1].device)),
        ):
            first_fault(write_record(replace(RECORD, admitted=admitted)))


@pytest.mark.usefixtures("verified_once")
def test_a_checkpoint_that_is_left_out_leaves_the_end_open_and_is_said_so() -> None:
    """What was never countersigned and what was taken away look alike."""
    fewer = replace(RECORD, checkpoints=RECORD.checkpoints[:1])
    opened = examine(write_record(fewer)).opened
    assert opened is not None
    assert "No checkpoint covers the last 4 entries" in "\n".join(not_shown(opened))
    last, others = RECORD.checkpoints[1], RECORD.checkpoints[:1]
    for counters in (last.countersignatures[::-1] * 2, last.countersignatures[:1] * 2):
        doubled = replace(last, countersignatures=counters)
        first_fault(write_record(replace(RECORD, checkpoints=(*others, doubled))))
