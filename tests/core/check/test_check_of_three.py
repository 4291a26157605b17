"""With a third record a finding says who is alone, and says it once."""

from __future__ import annotations

import pytest

from tablesync.core.acts import (
    Act,
    Basket,
    ClockStart,
    OpenPeriod,
    Points,
    Seat,
    Side,
    Strike,
)
from tablesync.core.check import Check
from tablesync.core.findings import Cause, CheckEvent, Cleared, Raised
from tablesync.core.rulesets import RULE_SETS
from tablesync.core.vector_clock import VectorClock
from tablesync.seal import Pen
from tests.core.check.test_check import SCENARIO
from tests.entering import KEYS

HOME, AWAY = Side.HOME, Side.AWAY
THREE = (Seat.BOOK, Seat.CLOCK, Seat.VISITING)
LATE_MS = 600_000
BASKET, POINTS = Basket(HOME, "4", 2), Points(HOME, 2)


class Table:
    """Three seats enter, and the check sees it."""

    def __init__(self) -> None:
        self.check = Check(SCENARIO.sheet, RULE_SETS["fiba-2024"], THREE)
        self.events: list[CheckEvent] = []
        self._pens = {seat: Pen(KEYS[seat], seat, bytes(32)) for seat in THREE}
        for seat in THREE:
            self.enter(seat, OpenPeriod(1), 1_000)
        self.enter(Seat.CLOCK, ClockStart(), 2_000)

    def enter(self, seat: Seat, act: Act, at_ms: int) -> Strike:
        """Enters an act, and gives what would strike it."""
        entry = self._pens[seat].write(act, VectorClock(), at_ms)
        self.check.take(entry, at_ms)
        return Strike(entry.id)

    def agreed(self, first_ms: int, last_ms: int) -> None:
        """All three enter the same baskets."""
        for at_ms in range(first_ms, last_ms, 20_000):
            self.enter(Seat.CLOCK, Points(AWAY, 2), at_ms)
            self.enter(Seat.BOOK, Basket(AWAY, "10", 2), at_ms + 900)
            self.enter(Seat.VISITING, Basket(AWAY, "10", 2), at_ms + 1_200)

    def told(self) -> list[CheckEvent]:
        self.events += self.check.advance(LATE_MS)
        return self.events


@pytest.fixture
def table() -> Table:
    result = Table()
    result.agreed(10_000, 90_000)
    return result


def test_three_records_that_agree_have_no_finding(table: Table) -> None:
    assert table.told() == []


def test_what_one_of_three_lacks_is_one_finding_that_names_it(table: Table) -> None:
    table.enter(Seat.BOOK, BASKET, 100_000)
    table.enter(Seat.VISITING, BASKET, 100_500)
    (raised,) = table.told()
    assert isinstance(raised, Raised)
    assert raised.finding.alone is Seat.CLOCK
    assert raised.finding.cause is Cause.ONLY_IN_BOOK


def test_what_only_the_book_lacks_is_said_once(table: Table) -> None:
    table.enter(Seat.CLOCK, POINTS, 100_000)
    table.enter(Seat.VISITING, BASKET, 101_000)
    (raised,) = table.told()
    assert isinstance(raised, Raised)
    assert raised.finding.alone is Seat.BOOK


def test_what_only_the_visiting_book_has_is_said_once(table: Table) -> None:
    table.enter(Seat.VISITING, BASKET, 100_000)
    (raised,) = table.told()
    assert isinstance(raised, Raised)
    assert raised.finding.alone is Seat.VISITING


def test_the_wrong_team_on_the_board_is_one_finding_against_two_books(
    table: Table,
) -> None:
    table.enter(Seat.BOOK, BASKET, 100_000)
    table.enter(Seat.VISITING, BASKET, 100_400)
    table.enter(Seat.CLOCK, Points(AWAY, 2), 100_800)
    table.told()
    (finding,) = table.check.open_findings()
    assert finding.cause is Cause.SIDES_DIFFER
    assert finding.alone is Seat.CLOCK


def test_when_the_one_that_is_alone_strikes_it_all_is_well(table: Table) -> None:
    strike = table.enter(Seat.VISITING, BASKET, 100_000)
    table.events += table.check.advance(140_000)
    table.enter(Seat.VISITING, strike, 141_000)
    raised, cleared = table.told()
    assert isinstance(raised, Raised)
    assert isinstance(cleared, Cleared)
    assert table.check.open_findings() == ()
