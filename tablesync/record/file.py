"""The record file: one game as evidence, in one file that needs nothing else.

Version 2. The file is a row of blocks as `blocks` describes them, in this order:

- `V`, once: `[[program, version], …]`, what wrote the file.
- `S`, once: the game sheet's exact bytes; the game's id is their hash.
- `D`, any number: `[device, seat, admission, relay]`, a device that writes for a seat,
  how it was admitted, and by which relay's signature (null where by none); in order of
  device and seat, each pair once.
- `E`, any number: an entry's signature, 64 bytes, then its exact signed bytes; in the
  order in which they were stored, each after whatever it knew of.
- `C`, any number: `[payload, signature, [[device, countersignature, statement], …]]`, a
  checkpoint over the first so many entries; smallest first.
- `.`, once: the end.

What stands in brackets is msgpack. Sheet and entries are as `sheet_bytes` and `seal`
describe them, checkpoints as `checkpoint` does, statements as `statement` does. So a
device's program and its clock samples are in what it countersigned, the relay's program
is in what it signed. Book, board, findings and replay all follow from the entries.

The admission is `granted` where a relay that signed a checkpoint here also signed a
grant (`admission.grants`) of this game, device and seat, and the device entered it
(`SeatTaken`). Otherwise it is `relay_list`, and who held the device is not shown. The
list of devices says nothing that does not follow from the rest, and is held against it.

The list of programs alone is signed by nobody: it is what whoever wrote the file says.

What is known of the signatures depends on who has looked. A relay or a device that took
entries in verified the newest of each device that came together, and computed every
link below it. So it knows that each device stands by exactly these bytes, the older
signatures among them, and that nobody else wrote them into its chain. It does not know
that each older signature is valid: a device can have linked to one that it made wrong
itself. Whoever holds the file need believe none of that: `verification` verifies every
single signature, and holds a wrong one that its device stands by against the device.

This module reads and writes the form; `verification` says whether what a file holds is
sound.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, TypeVar

import msgpack

from tablesync.checkpoint import Countersignature, read_checkpoint
from tablesync.core.acts import Seat
from tablesync.core.vector_clock import DeviceId
from tablesync.errors import CheckpointError, EntryError, FieldError, RecordFileError
from tablesync.record.blocks import (
    END,
    Block,
    DamagedBlockError,
    read_blocks,
    write_blocks,
)
from tablesync.record.record import (
    Admission,
    Admitted,
    Countersigned,
    Record,
    Software,
)
from tablesync.seal import unseal
from tablesync.strict_msgpack import unpack
from tablesync.sync.messages import Sealed

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from tablesync.checkpoint import Checkpoint

__all__ = [
    "checkpoint_block",
    "entry_name",
    "evidence_of",
    "read_record",
    "with_evidence",
    "write_record",
]

T = TypeVar("T")

SOFTWARE, SHEET, DEVICE, ENTRY, CHECKPOINT = b"V", b"S", b"D", b"E", b"C"
ORDER = re.compile(rb"(V(S(D*E*C*)?)?)?")
"""The kinds of a file's blocks, or of its beginning."""
NAMES = {
    SOFTWARE: "the list of programs",
    SHEET: "the game sheet",
    DEVICE: "the list of devices",
    CHECKPOINT: "a checkpoint",
    END: "the end",
}
SIGNATURE_BYTES = 64
LONGEST_TEXT = 200


def write_record(record: Record) -> bytes:
    """The record as a file."""
    software, *checkpoints = evidence_of(record)
    admitted = sorted(record.admitted, key=lambda one: (one.device, one.seat))
    return write_blocks(
        [
            software,
            Block(SHEET, record.sheet),
            *(_packed(DEVICE, _device_fields(one)) for one in admitted),
            *(Block(ENTRY, one.signature + one.payload) for one in record.entries),
            *checkpoints,
        ]
    )


def evidence_of(record: Record) -> tuple[Block, ...]:
    """The blocks of what can't be told from sheet and entries."""
    programs = [[one.program, one.version] for one in record.software]
    checkpoints = sorted(record.checkpoints, key=lambda one: one.checkpoint.head.size)
    return (
        _packed(SOFTWARE, programs),
        *(checkpoint_block(one) for one in checkpoints),
    )


def checkpoint_block(one: Countersigned) -> Block:
    """A checkpoint and its countersignatures as a block of evidence."""
    return _packed(CHECKPOINT, _checkpoint_fields(one))


def with_evidence(record: Record, blocks: Sequence[Block]) -> Record:
    """The record with what these blocks add to it.

    Raises:
        RecordFileError: one is not of this version's form.
    """
    programs = (one for many in _each(blocks, SOFTWARE, _software) for one in many)
    return replace(
        record,
        software=_each_once([*programs, *record.software]),
        checkpoints=_joined(
            [*record.checkpoints, *_each(blocks, CHECKPOINT, _countersigned)]
        ),
    )


def _joined(kept: Sequence[Countersigned]) -> tuple[Countersigned, ...]:
    """Each checkpoint once, with all countersignatures that were kept of it."""
    found: dict[Checkpoint, dict[DeviceId, Countersignature]] = {}
    for one in kept:
        by = found.setdefault(one.checkpoint, {})
        by |= {counter.device: counter for counter in one.countersignatures}
    return tuple(
        Countersigned(checkpoint, tuple(by[device] for device in sorted(by)))
        for checkpoint, by in found.items()
    )


def _each_once(values: Sequence[T]) -> tuple[T, ...]:
    return tuple(dict.fromkeys(values))


def _packed(kind: bytes, fields: object) -> Block:
    content: bytes = msgpack.packb(fields)
    return Block(kind, content)


def _device_fields(one: Admitted) -> list[object]:
    return [one.device, str(one.seat), str(one.how), one.relay]


def _checkpoint_fields(one: Countersigned) -> list[object]:
    counters = [
        [counter.device, counter.signature, counter.statement]
        for counter in one.countersignatures
    ]
    return [one.checkpoint.payload, one.checkpoint.signature, counters]


def read_record(data: bytes) -> Record:
    """The record in a file's bytes, which need not be sound; see `verification`.

    Raises:
        RecordFileError: they are no record file of this version, or not as they were
            written. `where` names the entry, or the one before what is damaged.
    """
    try:
        blocks = read_blocks(data)
    except DamagedBlockError as error:
        raise RecordFileError(
            _where(error.sound, error.damaged), error.what, "it as it was written"
        ) from error
    _require_order(blocks)
    software = _each(blocks, SOFTWARE, _software)
    return Record(
        software=software[0],
        sheet=_each(blocks, SHEET, bytes)[0],
        admitted=_each(blocks, DEVICE, _admitted),
        entries=_each(blocks, ENTRY, _sealed),
        checkpoints=_each(blocks, CHECKPOINT, _countersigned),
    )


def _require_order(blocks: Sequence[Block]) -> None:
    kinds = b"".join(block.kind for block in blocks)
    fitting = ORDER.match(kinds)
    assert fitting is not None
    sound, rest = blocks[: fitting.end()], blocks[fitting.end() :]
    if rest:
        raise RecordFileError(
            _where(sound, rest[0]), "stands where it may not", "the order of version 2"
        )
    if len(blocks) < 2:
        raise RecordFileError("the end of the file", "comes too soon", "a game sheet")


def _each(
    blocks: Sequence[Block], kind: bytes, read: Callable[[bytes], T]
) -> tuple[T, ...]:
    """The contents of all blocks of one kind."""
    contents: list[T] = []
    for at, block in enumerate(blocks):
        if block.kind != kind:
            continue
        try:
            contents.append(read(block.content))
        except FieldError as error:
            where = _where(blocks[:at], block)
            raise RecordFileError(where, error.what, error.expected) from error
        except CheckpointError as error:
            where = _where(blocks[:at], block)
            raise RecordFileError(where, error.what, "a checkpoint") from error
    return tuple(contents)


def entry_name(place: int, sealed: Sealed) -> str:
    """An entry by its place in the file, from 1, and by its id where it can be read."""
    try:
        return f"entry {place} ({unseal(*sealed).id})"
    except EntryError:
        return f"entry {place}"


def _where(sound: Sequence[Block], block: Block) -> str:
    """Which block it is, as well as it can be said of one that may be damaged."""
    entries = [one for one in sound if one.kind == ENTRY]
    if block.kind == ENTRY and ORDER.fullmatch(
        b"".join(one.kind for one in sound) + ENTRY
    ):
        return entry_name(len(entries) + 1, _split(block.content))
    name = NAMES.get(block.kind, f"block {len(sound) + 1}")
    if not entries:
        return name
    return f"{name} after {entry_name(len(entries), _split(entries[-1].content))}"


def _split(content: bytes) -> Sealed:
    return Sealed(content[SIGNATURE_BYTES:], content[:SIGNATURE_BYTES])


def _sealed(content: bytes) -> Sealed:
    if len(content) <= SIGNATURE_BYTES:
        raise FieldError("it is too short", "a signature and the entry's bytes")
    return _split(content)


def _software(content: bytes) -> tuple[Software, ...]:
    match unpack(content, levels=2):
        case list(pairs):
            return tuple(map(_program, pairs))
        case _:
            raise FieldError("it is no array", "pairs of program and version")


def _program(value: object) -> Software:
    match value:
        case [str(program), str(version)]:
            return Software(_short(program), _short(version))
        case _:
            raise FieldError("a program is not right", "its name and version")


def _admitted(content: bytes) -> Admitted:
    match unpack(content, levels=1):
        case [bytes(device), str(seat), str(how), None | bytes() as relay]:
            signer = None if relay is None else _device(relay)
            try:
                return Admitted(_device(device), Seat(seat), Admission(how), signer)
            except ValueError as error:
                raise FieldError(
                    f"{seat!r} admitted by {how!r} is not known",
                    "a seat and how it was admitted",
                ) from error
        case _:
            raise FieldError("it is not right", "a device, its seat and admission")


def _countersigned(content: bytes) -> Countersigned:
    match unpack(content, levels=3):
        case [bytes(payload), bytes(signature), list(pairs)]:
            return Countersigned(
                read_checkpoint(payload, signature), tuple(map(_counter, pairs))
            )
        case _:
            raise FieldError("it is not right", "a checkpoint and countersignatures")


def _counter(value: object) -> Countersignature:
    match value:
        case [bytes(device), bytes(signature), bytes(statement)] if (
            len(signature) == SIGNATURE_BYTES
        ):
            return Countersignature(_device(device), signature, statement)
        case _:
            raise FieldError(
                "a countersignature is not right", "a device, 64 bytes and a statement"
            )


def _device(value: bytes) -> DeviceId:
    if len(value) != 32:
        raise FieldError("a device is not right", "32 bytes")
    return DeviceId(value)


def _short(text: str) -> str:
    if len(text) > LONGEST_TEXT:
        raise FieldError("a text is too long", f"at most {LONGEST_TEXT} characters")
    return text
