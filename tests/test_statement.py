"""What a device states when it countersigns is read strictly."""

from __future__ import annotations

import msgpack
import pytest

from tablesync.core.clock_sample import Sample
from tablesync.errors import FieldError
from tablesync.statement import SOFTWARE, Statement, read_statement, write_statement

SAMPLE = Sample(1_000, 1_020, 1_021, 1_030)


@pytest.mark.parametrize("sample", [None, SAMPLE])
def test_what_was_stated_is_read(sample: Sample | None) -> None:
    statement = Statement(SOFTWARE, sample)
    assert read_statement(write_statement(statement)) == statement


@pytest.mark.parametrize(
    "fields",
    [
        "text",
        [],
        [1, "tablesync 0"],
        [2, "tablesync 0", None],
        [True, "tablesync 0", None],
        [1, b"tablesync 0", None],
        [1, "p" * 61, None],
        [1, "tablesync 0", 0],
        [1, "tablesync 0", [1, 2, 3]],
        [1, "tablesync 0", [1, 2, 3, True]],
        [1, "tablesync 0", [-1, 2, 3, 4]],
        [1, "tablesync 0", [1, 2, 3, 2**53 + 1]],
        [1, "tablesync 0", [10, 2, 3, 9]],
        [1, "tablesync 0", None, None],
    ],
)
def test_what_is_no_statement_is_refused(fields: object) -> None:
    with pytest.raises(FieldError):
        read_statement(msgpack.packb(fields))


def test_bytes_that_are_too_many_are_refused() -> None:
    with pytest.raises(FieldError, match="too long"):
        read_statement(bytes(257))
