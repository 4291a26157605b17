"""A record file is read as it was written, and no other way."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import msgpack
import pytest

from tablesync.core.acts import Seat
from tablesync.core.merkle import TreeHead
from tablesync.core.vector_clock import DeviceId
from tablesync.errors import RecordFileError
from tablesync.record.blocks import FIRST_LINE, Block, read_blocks, write_blocks
from tablesync.record.file import read_record, write_record
from tablesync.record.record import Admission, Admitted, Record, Software
from tablesync.scenario import read_scenario
from tablesync.sync.messages import Sealed
from tests.entering import KEYS
from tests.recording import RELAY, recorded, signed_head

MISSED = read_scenario(Path("scenarios/basket-missed-on-the-board.jsonl"))
RECORD = recorded(MISSED, sizes=(10, 30))
SMALL = replace(RECORD, entries=RECORD.entries[:4], checkpoints=RECORD.checkpoints[:1])


def refusal(data: bytes) -> RecordFileError:
    with pytest.raises(RecordFileError) as caught:
        read_record(data)
    return caught.value


def rebuilt(record: Record, kind: bytes, content: bytes) -> bytes:
    """The record's file with the first block of a kind replaced, sealed anew."""
    blocks = list(read_blocks(write_record(record)))
    at = next(n for n, block in enumerate(blocks) if block.kind == kind)
    blocks[at] = Block(kind, content)
    return write_blocks(blocks)


@pytest.mark.parametrize("record", [RECORD, SMALL, replace(RECORD, entries=())])
def test_what_was_written_is_read(record: Record) -> None:
    assert read_record(write_record(record)) == record


def test_the_same_record_is_always_the_same_bytes() -> None:
    shuffled = replace(
        RECORD,
        admitted=RECORD.admitted[::-1],
        checkpoints=RECORD.checkpoints[::-1],
    )
    assert write_record(shuffled) == write_record(RECORD)


def test_the_file_says_what_it_is_in_its_first_line() -> None:
    assert write_record(RECORD).splitlines()[0] == b"tablesync record 2"


def test_every_changed_byte_is_detected_and_its_place_is_named() -> None:
    data = write_record(SMALL)
    names = set()
    for at in range(len(data)):
        for change in (0x01, 0x80, 0xFF):
            changed = bytearray(data)
            changed[at] ^= change
            names.add(refusal(bytes(changed)).where)
    # Where the kind of a block is changed, the entry before it is named.
    places = {int(place) for name in names for place in re.findall(r"entry (\d)", name)}
    assert places == {1, 2, 3, 4}


def test_a_changed_byte_within_an_entry_names_that_entry() -> None:
    data = write_record(RECORD)
    for place, sealed in enumerate(RECORD.entries, start=1):
        content = sealed.signature + sealed.payload
        start = data.index(content)
        for at in range(start, start + len(content) + 32):
            changed = bytearray(data)
            changed[at] ^= 0x04
            assert refusal(bytes(changed)).where.split(" (")[0] == f"entry {place}"


def test_every_truncation_is_detected() -> None:
    data = write_record(SMALL)
    for length in range(len(data)):
        refusal(data[:length])


def test_trailing_bytes_are_detected() -> None:
    data = write_record(SMALL)
    for tail in (b"\x00", b"\n", data[-37:], data):
        assert "bytes follow" in str(refusal(data + tail))


def blocks_of(data: bytes) -> list[bytes]:
    """The exact bytes of each block, seals included."""
    parts, at = [], len(FIRST_LINE)
    while at < len(data):
        stop = at + 37 + int.from_bytes(data[at + 1 : at + 5], "big")
        parts.append(data[at:stop])
        at = stop
    return parts


def test_every_swap_removal_or_doubling_of_blocks_is_detected() -> None:
    """Also where the blocks keep the seals that they were written with."""
    data = write_record(SMALL)
    parts = blocks_of(data)
    ways = []
    for at in range(len(parts)):
        ways.append(parts[:at] + parts[at + 1 :])
        ways.append([*parts[: at + 1], *parts[at:]])
        for other in range(at):
            swapped = list(parts)
            swapped[at], swapped[other] = parts[other], parts[at]
            ways.append(swapped)
    tampered = {FIRST_LINE + b"".join(way) for way in ways} - {data}
    assert len(tampered) == len(ways)
    for one in tampered:
        refusal(one)


def test_a_moved_entry_names_the_first_that_is_out_of_place() -> None:
    parts = blocks_of(write_record(RECORD))
    first = 2 + len(RECORD.admitted)
    parts[first + 8], parts[first + 20] = parts[first + 20], parts[first + 8]
    error = refusal(FIRST_LINE + b"".join(parts))
    assert error.where.startswith("entry 9 (")
    del parts[first + 5]
    error = refusal(FIRST_LINE + b"".join(parts))
    assert error.where.startswith("entry 6 (")


@pytest.mark.parametrize(
    ("kinds", "where", "what"),
    [
        (b"", "the end of the file", "comes too soon"),
        (b"V", "the end of the file", "comes too soon"),
        (b"SV", "the game sheet", "stands where it may not"),
        (b"VSS", "the game sheet", "stands where it may not"),
        (b"VVS", "the list of programs", "stands where it may not"),
        (b"VSED", "the list of devices after entry 1", "stands where it may not"),
        (b"VSCE", "block 4", "stands where it may not"),
        (b"VSECEE", "block 5 after entry 1", "stands where it may not"),
        (b"VSX", "block 3", "stands where it may not"),
    ],
)
def test_blocks_out_of_order_are_refused(kinds: bytes, where: str, what: str) -> None:
    blocks = [Block(bytes([kind]), b"") for kind in kinds]
    error = refusal(write_blocks(blocks))
    assert (error.where, error.what) == (where, what)


DEVICE = KEYS[Seat.BOOK].device
CHECKPOINT = signed_head(TreeHead(0, bytes(32)), 0, bytes(32))


@pytest.mark.parametrize(
    ("kind", "fields"),
    [
        (b"V", "text"),
        (b"V", [["tablesync"]]),
        (b"V", [["tablesync", 1]]),
        (b"V", [["tablesync", "x" * 201]]),
        (b"V", [[["tablesync", "0"]]]),
        (b"D", [DEVICE, "book", "relay_list"]),
        (b"D", [DEVICE, "bench", "relay_list", None]),
        (b"D", [DEVICE, "book", "by_magic", None]),
        (b"D", [DEVICE[:-1], "book", "relay_list", None]),
        (b"D", [DEVICE, "book", "relay_list", ""]),
        (b"D", [DEVICE, "book", "granted", DEVICE[:-1]]),
        (b"C", [CHECKPOINT.payload, CHECKPOINT.signature]),
        (b"C", [b"", CHECKPOINT.signature, []]),
        (b"C", [CHECKPOINT.payload, CHECKPOINT.signature, [[DEVICE]]]),
        (b"C", [CHECKPOINT.payload, CHECKPOINT.signature, [[DEVICE, bytes(63), b""]]]),
        (b"C", [CHECKPOINT.payload, CHECKPOINT.signature, [[b"", bytes(64), b""]]]),
        (b"C", [CHECKPOINT.payload, CHECKPOINT.signature, [[DEVICE, bytes(64)]]]),
    ],
)
def test_a_block_of_another_form_is_refused(kind: bytes, fields: object) -> None:
    refusal(rebuilt(RECORD, kind, msgpack.packb(fields)))


def test_an_entry_that_is_no_longer_than_a_signature_is_refused() -> None:
    error = refusal(rebuilt(RECORD, b"E", bytes(64)))
    assert str(error) == (
        "entry 1: it is too short; expected a signature and the entry's bytes"
    )


def test_a_block_that_claims_to_be_huge_is_refused_without_reading_on() -> None:
    data = FIRST_LINE + b"E" + b"\xff\xff\xff\xff" + bytes(100)
    assert refusal(data).what == "is too long"


def test_another_version_and_another_file_are_refused() -> None:
    for data in (b"", b"tablesync record 1\n", b"PK\x03\x04", FIRST_LINE[:-1]):
        assert "does not follow the first line" in refusal(data).what


def test_an_admission_names_the_relay_that_granted_it() -> None:
    one = Admitted(DeviceId(bytes(32)), Seat.BOOK, Admission.GRANTED, RELAY.device)
    record = replace(RECORD, admitted=(one,), software=(Software("tablesync", "9"),))
    read = read_record(write_record(record))
    assert read.admitted == (one,)
    assert read.software == record.software


def test_the_largest_entry_and_sheet_fit() -> None:
    large = replace(
        RECORD, sheet=bytes(48 * 1024), entries=(Sealed(bytes(16 * 1024), bytes(64)),)
    )
    assert read_record(write_record(large)) == large
