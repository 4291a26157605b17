"""A log that strangers can't make long."""

from __future__ import annotations

import logging

from tablesync.sparing import Sparing


def record(at_s: float, level: int = logging.WARNING) -> logging.LogRecord:
    one = logging.LogRecord("relay", level, __file__, 1, "refused: %s", ("x",), None)
    one.created = at_s
    return one


def test_so_many_of_a_second_are_said_and_the_next_second_counts_the_rest() -> None:
    sparing = Sparing(most=2)
    assert [sparing.filter(record(10.1)) for _ in range(5)] == [True] * 2 + [False] * 3
    later = record(11.0)
    assert sparing.filter(later)
    assert later.getMessage() == "refused: x (and 3 more before)"
    after = record(12.0)
    assert sparing.filter(after)
    assert after.getMessage() == "refused: x"


def test_errors_are_always_said() -> None:
    sparing = Sparing(most=0)
    assert not sparing.filter(record(10.0))
    assert sparing.filter(record(10.0, logging.ERROR))
