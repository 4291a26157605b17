"""The check raises what differs, once, and clears it when the records agree again."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tablesync.core.acts import (
    Act,
    Arrow,
    Basket,
    ClockStart,
    ClockStop,
    Correction,
    LetStand,
    OpenPeriod,
    Points,
    Seat,
    Side,
    Strike,
    TimeOut,
    TimeOutLength,
)
from tablesync.core.check import Check
from tablesync.core.findings import (
    Cause,
    CheckEvent,
    Cleared,
    How,
    Raised,
    Revised,
)
from tablesync.core.vector_clock import VectorClock
from tablesync.scenario import read_scenario
from tablesync.seal import Pen
from tests.entering import KEYS, entered

if TYPE_CHECKING:
    from tablesync.core.entries import Entry

SCENARIO = read_scenario(Path("scenarios/clean-quarter.jsonl"))
HOME, AWAY = Side.HOME, Side.AWAY
LATE_MS = 600_000


class Table:
    """Both seats enter, and the check sees it."""

    def __init__(self) -> None:
        self.check = Check(SCENARIO.sheet, SCENARIO.rules)
        self.events: list[CheckEvent] = []
        self._pens = {seat: Pen(KEYS[seat], seat, bytes(32)) for seat in Seat}
        for seat in (Seat.BOOK, Seat.CLOCK):
            self.enter(seat, OpenPeriod(1), 1_000)
        self.enter(Seat.CLOCK, ClockStart(), 2_000)

    def enter(self, seat: Seat, act: Act, at_ms: int) -> Entry:
        entry = self._pens[seat].write(act, VectorClock(), at_ms)
        self.check.take(entry, at_ms)
        return entry

    def told(self, now_ms: int = LATE_MS) -> list[CheckEvent]:
        self.events += self.check.advance(now_ms)
        return self.events

    def causes(self) -> list[Cause]:
        self.told()
        return [finding.cause for finding in self.check.open_findings()]


@pytest.fixture
def table() -> Table:
    return Table()


def test_a_record_against_itself_has_no_finding(table: Table) -> None:
    for at_ms in range(10_000, 200_000, 9_000):
        table.enter(Seat.BOOK, Basket(HOME, "4", 2), at_ms)
        table.enter(Seat.CLOCK, Points(HOME, 2), at_ms + 700)
    assert table.told() == []


def test_what_one_record_lacks_is_awaited_and_then_found(table: Table) -> None:
    entry = table.enter(Seat.BOOK, Basket(AWAY, "10", 3), 10_000)
    assert table.told(11_000) == []
    (awaited,) = table.check.awaited()
    assert (awaited.seat, awaited.entry) == (Seat.CLOCK, entry.id)
    (event,) = table.told()
    assert isinstance(event, Raised)
    assert event.finding.cause is Cause.ONLY_IN_BOOK
    assert event.finding.entries[Seat.BOOK] == entry.id
    assert event.finding.entries[Seat.CLOCK] is None
    assert (event.finding.values[Seat.BOOK], event.finding.values[Seat.CLOCK]) == (3, 0)


@pytest.mark.parametrize(
    ("book", "clock", "cause"),
    [
        (Basket(HOME, "4", 2), Points(AWAY, 2), Cause.SIDES_DIFFER),
        (Basket(HOME, "4", 2), Points(HOME, 3), Cause.POINTS_DIFFER),
        (Arrow(HOME), Arrow(AWAY), Cause.ARROW_DIFFERS),
    ],
)
def test_one_act_entered_differently_is_one_finding(
    table: Table, book: Act, clock: Act, cause: Cause
) -> None:
    table.enter(Seat.CLOCK, clock, 10_000)
    table.enter(Seat.BOOK, book, 11_000)
    assert cause in table.causes()


def test_a_second_press_is_told_from_a_second_basket(table: Table) -> None:
    table.enter(Seat.CLOCK, Points(HOME, 2), 10_000)
    table.enter(Seat.CLOCK, Points(HOME, 2), 10_600)
    table.enter(Seat.BOOK, Basket(HOME, "4", 2), 11_500)
    assert table.causes() == [Cause.TWICE_ON_BOARD]


def test_the_missing_act_added_late_clears_its_finding(table: Table) -> None:
    table.enter(Seat.BOOK, Basket(HOME, "4", 2), 10_000)
    table.told(28_000)
    table.enter(Seat.CLOCK, Points(HOME, 2), 30_000)
    raised, cleared = table.told()
    assert isinstance(raised, Raised)
    assert cleared == Cleared(raised.finding.id, 30_000, How.AGREED)


def test_striking_the_act_that_is_too_many_clears_its_finding(table: Table) -> None:
    entry = table.enter(Seat.CLOCK, Points(HOME, 2), 10_000)
    table.told(40_000)
    table.enter(Seat.CLOCK, Strike(entry.id), 50_000)
    assert table.causes() == []


def test_an_amended_act_pairs_with_what_it_should_have_been(table: Table) -> None:
    entry = table.enter(Seat.BOOK, Basket(HOME, "4", 3), 10_000)
    table.enter(Seat.CLOCK, Points(HOME, 2), 10_500)
    assert table.causes() == [Cause.POINTS_DIFFER]
    amended = Correction(entry.id, Basket(HOME, "4", 2), None, "it was a two")
    table.enter(Seat.BOOK, amended, LATE_MS + 1_000)
    table.told(LATE_MS + 100_000)
    assert table.check.open_findings() == ()


def test_both_letting_it_stand_ends_a_finding_and_one_alone_does_not(
    table: Table,
) -> None:
    table.enter(Seat.BOOK, TimeOut(HOME, TimeOutLength.FULL), 10_000)
    table.told(60_000)
    (finding,) = table.check.open_findings()
    stand = LetStand(finding.id, "the referee says so")
    table.enter(Seat.BOOK, stand, 61_000)
    table.told(61_500)
    assert table.check.open_findings() == (finding,)
    table.enter(Seat.CLOCK, stand, 62_000)
    assert table.told()[-1] == Cleared(finding.id, 62_000, How.STANDS)


@pytest.mark.parametrize("path", sorted(Path("scenarios").glob("*.jsonl")), ids=str)
def test_small_steps_and_one_long_step_tell_the_same(path: Path) -> None:
    scenario = read_scenario(path)
    made = entered(scenario)
    fine, coarse = (Check(scenario.sheet, scenario.rules) for _ in range(2))
    told: list[CheckEvent] = []
    for entry in made.entries:
        for now_ms in range(0, entry.table_time_ms, 5_000):
            told += fine.advance(now_ms) if now_ms else ()
        fine.take(entry, entry.table_time_ms)
        coarse.take(entry, entry.table_time_ms)
    told += fine.advance(10**9)
    assert tuple(told) == coarse.advance(10**9)


def test_the_key_of_a_card_clears_its_finding_at_once(table: Table) -> None:
    table.enter(Seat.BOOK, Basket(HOME, "4", 2), 10_000)
    table.told(40_000)
    (finding,) = table.check.open_findings()
    add, strike = finding.remedies
    assert (add.seat, strike.seat) == (Seat.CLOCK, Seat.BOOK)
    (act,) = add.acts
    table.enter(add.seat, act, 90_000)
    assert table.told()[-1] == Cleared(finding.id, 90_000, How.AGREED)


def test_a_lone_entry_long_after_a_finding_is_a_slip_of_its_own(table: Table) -> None:
    table.enter(Seat.BOOK, Basket(HOME, "4", 2), 10_000)
    table.told(40_000)
    table.enter(Seat.CLOCK, Points(HOME, 2), 120_000)
    assert table.causes() == [Cause.ONLY_IN_BOOK, Cause.ONLY_ON_BOARD]


def test_a_field_goal_added_while_the_clock_stands_clears_its_finding(
    table: Table,
) -> None:
    table.enter(Seat.BOOK, Basket(HOME, "4", 2), 10_000)
    table.enter(Seat.CLOCK, ClockStop(), 100_000)
    table.enter(Seat.CLOCK, Points(HOME, 2), 120_000)
    assert table.causes() == []


def test_a_partner_of_what_looked_like_an_addition_raises_the_finding_again(
    table: Table,
) -> None:
    table.enter(Seat.BOOK, Basket(HOME, "4", 2), 10_000)
    table.told(24_000)
    table.enter(Seat.CLOCK, Points(HOME, 2), 34_000)
    table.enter(Seat.BOOK, Basket(HOME, "5", 2), 35_000)
    assert table.causes() == [Cause.ONLY_IN_BOOK]


@pytest.mark.parametrize("seat", [Seat.BOOK, Seat.CLOCK])
def test_a_missing_act_is_found_as_soon_as_its_seat_has_gone_on(
    table: Table, seat: Seat
) -> None:
    """Common practice, no source: an official enters one thing after the other."""
    for at_ms in range(10_000, 210_000, 20_000):
        table.enter(Seat.CLOCK, Points(AWAY, 2), at_ms)
        table.enter(Seat.BOOK, Basket(AWAY, "10", 2), at_ms + 1_100)
    has = Seat.CLOCK if seat is Seat.BOOK else Seat.BOOK
    acts: dict[Seat, Act] = {
        Seat.BOOK: Basket(HOME, "4", 2),
        Seat.CLOCK: Points(HOME, 2),
    }
    missing = table.enter(has, acts[has], 212_000)
    table.enter(Seat.CLOCK, Points(AWAY, 3), 214_500)
    table.enter(Seat.BOOK, Basket(AWAY, "11", 3), 215_600)
    (raised,) = table.told()
    assert isinstance(raised, Raised)
    assert raised.finding.raised_at_ms < 219_000
    assert raised.finding.entries[has] == missing.id


def test_a_period_is_raised_when_its_clock_is_started_unopened(table: Table) -> None:
    table.enter(Seat.BOOK, OpenPeriod(2), 100_000)
    assert table.told(140_000) == []
    table.enter(Seat.CLOCK, ClockStart(), 150_000)
    (raised,) = table.told(151_000)
    assert isinstance(raised, Raised)
    assert raised.finding.cause is Cause.PERIOD_DIFFERS
    opened = table.enter(Seat.CLOCK, OpenPeriod(2), 160_000)
    revised, cleared = table.told(161_000)[1:]
    assert isinstance(revised, Revised)
    assert revised.finding.entries[Seat.CLOCK] == opened.id
    assert cleared == Cleared(raised.finding.id, 160_000, How.AGREED)


def test_an_arrow_that_one_seat_does_not_keep_is_no_finding(table: Table) -> None:
    table.enter(Seat.BOOK, Arrow(HOME), 10_000)
    table.enter(Seat.BOOK, Arrow(AWAY), 60_000)
    assert table.told() == []
