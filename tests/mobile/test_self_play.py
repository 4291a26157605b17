from __future__ import annotations

from pathlib import Path

from mobile.self_play import LEAD_MS, LONGEST_GAP_MS, play_by_itself, schedule
from tablesync.core.acts import Act, OpenPeriod, Points, Seat, Side, Strike
from tablesync.scenario import Enter, Expect, StrikeOut, read_scenario
from tests.mobile.seat_on_screen import FakeSession
from tests.mobile.table import FakeTable

DEMO = read_scenario(Path(__file__).resolve().parents[2] / "tablesync" / "demo.jsonl")


class _Time:
    """Pauses that take none, and what has been waited for."""

    def __init__(self, table: FakeTable) -> None:
        self._table = table
        self.at_ms: list[int] = []

    async def pause(self, seconds: float) -> None:
        self._table.wait(round(seconds * 1000))
        self.at_ms.append(self._table.now_ms)


def _step(t_ms: int, seat: Seat, act: Act | StrikeOut, label: str = "") -> Enter:
    return Enter(t_ms, seat, act, label or None)


def test_the_lag_of_hands_is_kept_and_long_gaps_are_cut_short() -> None:
    due = schedule(
        [
            _step(9_000, Seat.CLOCK, OpenPeriod(1)),
            _step(9_800, Seat.BOOK, OpenPeriod(1)),
            Expect(9_900, 1, (), None, None, None, None, None),
            _step(80_000, Seat.CLOCK, Points(Side.HOME, 2)),
        ]
    )
    first = LONGEST_GAP_MS
    assert [one.at_ms for one in due] == [first, first + 800, first + 800 + first]


async def test_a_seat_enters_its_own_acts_when_they_are_due() -> None:
    table = FakeTable()
    clock, time = FakeSession(table, Seat.CLOCK), _Time(table)
    steps = [
        _step(1_000, Seat.CLOCK, OpenPeriod(1)),
        _step(1_500, Seat.BOOK, OpenPeriod(1)),
        _step(2_000, Seat.CLOCK, Points(Side.HOME, 2), "slip"),
        _step(3_000, Seat.CLOCK, StrikeOut("slip")),
    ]
    await play_by_itself(clock, schedule(steps), time.pause)
    opened, slip, strike = clock.entered
    assert (opened, slip) == (OpenPeriod(1), Points(Side.HOME, 2))
    assert isinstance(strike, Strike)
    assert table.game.board.tally.score.home == 0
    assert time.at_ms[0] >= LEAD_MS + 1_000


async def test_the_demo_plays_at_both_seats() -> None:
    table = FakeTable()
    due = schedule(DEMO.steps)
    for seat in (Seat.CLOCK, Seat.BOOK):
        session = FakeSession(table, seat)
        await play_by_itself(session, due, _Time(table).pause)
        assert len(session.entered) == sum(one.step.seat is seat for one in due)
