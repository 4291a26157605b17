"""What a device states of itself when it countersigns: its program and its clock.

A statement is the msgpack array

    [1, program with its version, [t1, t2, t3, t4] or null]

with the quickest of the last exchanges between its clock (t1, t4) and the relay's
(t2, t3), in whole milliseconds; null before the first. It is signed with the
countersignature, so it is the device's own word, and nobody else's.
"""

from __future__ import annotations

import msgpack

from tablesync import __version__
from tablesync.core.clock_sample import Sample
from tablesync.errors import FieldError
from tablesync.frozen import dataclass
from tablesync.seal import LATEST_MS
from tablesync.strict_msgpack import unpack

__all__ = ["MOST_PROGRAM", "SOFTWARE", "Statement", "read_statement", "write_statement"]

SOFTWARE = f"tablesync {__version__}"
"""What this program calls itself in whatever it signs."""
STATEMENT_VERSION = 1
MOST_BYTES = 256
"""No statement is larger."""
MOST_PROGRAM = 60
"""So many characters may a program's name and version have."""


@dataclass(frozen=True, slots=True)
class Statement:
    """A device's word on what it runs, and on how it compared its clock."""

    software: str
    sample: Sample | None
    """The quickest of its last exchanges; None where it has had none yet."""


def write_statement(statement: Statement) -> bytes:
    """The statement as the bytes that are signed."""
    times = None
    if (one := statement.sample) is not None:
        times = [one.t1_ms, one.t2_ms, one.t3_ms, one.t4_ms]
    data: bytes = msgpack.packb([STATEMENT_VERSION, statement.software, times])
    return data


def read_statement(data: bytes) -> Statement:
    """Reads a statement, strictly.

    Raises:
        FieldError: the bytes are none of this version.
    """
    if len(data) > MOST_BYTES:
        raise FieldError("a statement is too long", f"at most {MOST_BYTES} bytes")
    match unpack(data, levels=2):
        case [int(version), str(software), times] if (
            type(version) is int
            and version == STATEMENT_VERSION
            and len(software) <= MOST_PROGRAM
        ):
            return Statement(software, _sample(times))
        case _:
            raise FieldError("a statement is not right", "the fields of version 1")


def _sample(times: object) -> Sample | None:
    match times:
        case None:
            return None
        case [int(t1), int(t2), int(t3), int(t4)] if all(
            type(t) is int and 0 <= t <= LATEST_MS for t in (t1, t2, t3, t4)
        ):
            sample = Sample(t1, t2, t3, t4)
            if sample.delay_ms >= 0:
                return sample
            raise FieldError("a clock sample came back before it was sent", "later")
        case _:
            raise FieldError("a clock sample is not right", "four times")
