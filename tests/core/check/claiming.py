"""Claims for the tests of the check, without entries of devices behind them."""

from __future__ import annotations

from tablesync.core.acts import Basket, EntryId, Points, Seat, Side
from tablesync.core.check.claims import Claim
from tablesync.core.entries import Entry
from tablesync.core.rulesets import RULE_SETS
from tablesync.core.tally import mark_of
from tablesync.core.vector_clock import DeviceId, VectorClock

__all__ = ["PAIR", "claim"]

PAIR = (Seat.BOOK, Seat.CLOCK)


def claim(number: int, record: int, at_s: float, side: Side, points: int) -> Claim:
    """Points that one of two records claims: 0 for the book, 1 for the board."""
    seat = PAIR[record]
    act = Points(side, points) if record else Basket(side, "4", points)
    id_ = EntryId(DeviceId(bytes([record]) * 32), number + 1)
    entry = Entry(id_, seat, VectorClock(), round(at_s * 1000), act, b"", b"", b"", b"")
    mark = mark_of(act, RULE_SETS["fiba-2024"])
    assert mark is not None
    return Claim(number, record, entry, act, mark, at_s, at_s)
