"""What entries show of when they had reached the other seat."""

from __future__ import annotations

from pathlib import Path

from tablesync.core.acts import Note, Seat
from tablesync.core.history import History
from tablesync.core.rulesets import rule_set
from tablesync.core.vector_clock import VectorClock
from tablesync.replay.receipts import (
    Apart,
    receipts_of,
    stretches_apart,
    with_all_until,
)
from tablesync.replay.replay import Replay
from tablesync.scenario import read_scenario
from tablesync.seal import Pen
from tests.entering import KEYS
from tests.recording import replay_of
from tests.scribe import SHEET

BOOK, CLOCK = KEYS[Seat.BOOK].device, KEYS[Seat.CLOCK].device


def written(*lines: tuple[int, Seat, int]) -> Replay:
    """Notes at these times, each knowing so many entries of the other seat."""
    history = History(bytes(32))
    pens = {seat: Pen(KEYS[seat], seat, bytes(32)) for seat in (Seat.BOOK, Seat.CLOCK)}
    for at_ms, seat, known in lines:
        other = CLOCK if seat is Seat.BOOK else BOOK
        seen = VectorClock({other: known})
        history.add(pens[seat].write(Note("x"), seen, at_ms))
    return Replay(SHEET, rule_set(SHEET.rules), history)


def test_an_entry_has_reached_a_seat_by_the_first_entry_that_knew_it() -> None:
    replay = written(
        (1_000, Seat.BOOK, 0),
        (2_000, Seat.CLOCK, 0),
        (3_000, Seat.CLOCK, 0),
        (4_500, Seat.CLOCK, 1),
        (5_000, Seat.CLOCK, 1),
    )
    first, *_, known, _ = replay.history
    [receipt] = receipts_of(replay, first)
    assert receipt.seat is Seat.CLOCK
    assert receipt.by == known
    assert (receipt.after_ms, receipt.without) == (3_500, 2)


def test_what_no_entry_knew_is_not_shown_to_have_arrived() -> None:
    replay = written((1_000, Seat.BOOK, 0), (2_000, Seat.CLOCK, 0))
    first, second = replay.history
    [receipt] = receipts_of(replay, first)
    assert (receipt.by, receipt.after_ms, receipt.without) == (None, None, 1)
    [nothing] = receipts_of(replay, second)
    assert (nothing.by, nothing.without) == (None, 0)


def test_a_seat_has_the_other_record_by_the_entry_that_knew_one_so_late() -> None:
    replay = written(
        (1_000, Seat.BOOK, 0),
        (5_000, Seat.BOOK, 0),
        (6_000, Seat.CLOCK, 1),
        (7_000, Seat.CLOCK, 2),
    )
    *_, last = replay.history
    assert with_all_until(replay, Seat.CLOCK, 5_000) == last
    assert with_all_until(replay, Seat.CLOCK, 5_001) is None
    assert with_all_until(replay, Seat.BOOK, 0) is None


def test_a_seat_is_apart_while_it_enters_without_what_is_due() -> None:
    replay = written(
        (1_000, Seat.BOOK, 0),
        (5_000, Seat.CLOCK, 0),
        (6_000, Seat.CLOCK, 0),
        (20_000, Seat.CLOCK, 0),
        (36_000, Seat.CLOCK, 0),
        (40_000, Seat.CLOCK, 1),
        (41_000, Seat.BOOK, 5),
    )
    assert stretches_apart(replay, Seat.CLOCK) == (Apart(6_000, 36_000, 3),)
    assert stretches_apart(replay, Seat.BOOK) == ()


def test_a_short_time_apart_is_not_told() -> None:
    replay = written(
        (1_000, Seat.BOOK, 0),
        (7_000, Seat.CLOCK, 0),
        (36_000, Seat.CLOCK, 0),
        (90_000, Seat.CLOCK, 1),
    )
    assert stretches_apart(replay, Seat.CLOCK) == ()


def test_a_seat_that_was_cut_off_in_a_scenario_was_apart_and_no_other_was() -> None:
    cut = replay_of(
        read_scenario(Path("scenarios/dispute-seat-cut-off-for-a-quarter.jsonl"))
    )
    for seat in (Seat.BOOK, Seat.CLOCK):
        [apart] = stretches_apart(cut, seat)
        assert cut.reading(apart.from_ms).period == 2
        assert apart.entries > 10
    clean = replay_of(read_scenario(Path("scenarios/clean-quarter.jsonl")))
    assert stretches_apart(clean, Seat.BOOK) == stretches_apart(clean, Seat.CLOCK) == ()
