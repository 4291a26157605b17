"""Whatever is entered, struck, corrected and let stand, the check goes on and ends."""

from __future__ import annotations

from random import Random

import pytest

from tablesync.core.acts import (
    Act,
    Arrow,
    Basket,
    Charged,
    ClockStart,
    ClockStop,
    Correction,
    EntryId,
    Foul,
    FreeThrow,
    LetStand,
    OpenPeriod,
    Points,
    Seat,
    Side,
    Strike,
    TeamFoul,
    TimeOut,
    TimeOutLength,
)
from tablesync.core.check import Check
from tablesync.core.findings import Raised
from tablesync.core.tally import Item
from tablesync.core.vector_clock import VectorClock
from tablesync.seal import Pen
from tests.core.check.test_check import SCENARIO
from tests.entering import KEYS

ENTRIES = 100
HOUR_MS = 3_600_000
PAUSES_MS = (400, 3_000, 9_000)
STANDING = (Item.PERIOD, Item.ARROW)


class Muddle:
    """Officials who enter anything at any time, and take much of it back."""

    def __init__(self, seed: int, seats: tuple[Seat, ...]) -> None:
        self.check = Check(SCENARIO.sheet, SCENARIO.rules, seats)
        self.now_ms = 1_000
        self._random = Random(seed)
        self._pens = {seat: Pen(KEYS[seat], seat, bytes(32)) for seat in seats}
        self._entered: dict[Seat, list[EntryId]] = {seat: [] for seat in seats}
        self._raised: list[str] = []

    def go_on(self) -> None:
        """One more entry of somebody."""
        random = self._random
        self.now_ms += int(random.expovariate(1 / random.choice(PAUSES_MS)))
        seat = random.choice(list(self._pens))
        act = self._reaching_back(seat) or self._plain(seat)
        entry = self._pens[seat].write(act, VectorClock(), self.now_ms)
        self._entered[seat].append(entry.id)
        self.check.take(entry, self.now_ms)
        for event in self.check.advance(self.now_ms):
            if isinstance(event, Raised):
                self._raised.append(event.finding.id)
        self.check.awaited()

    def _reaching_back(self, seat: Seat) -> Act | None:
        random, own = self._random, self._entered[seat][-12:]
        what = random.randrange(12) if own else 11
        match what:
            case 0:
                return Strike(random.choice(own))
            case 1:
                act = random.choice((None, self._score(seat)))
                return Correction(random.choice(own), act, None, "misheard")
            case 2:
                at_ms = max(1, self.now_ms - random.randrange(60_000))
                return Correction(None, self._score(seat), at_ms, "forgotten")
            case 3 if self._raised:
                return LetStand(random.choice(self._raised), "so be it")
            case _:
                return None

    def _plain(self, seat: Seat) -> Act:
        random, side = self._random, self._side()
        acts: list[Act] = [
            OpenPeriod(random.randrange(1, 5)),
            Arrow(side),
            TimeOut(side, TimeOutLength.FULL),
            self._score(seat),
            self._score(seat),
            self._score(seat),
            self._score(seat),
        ]
        if seat is Seat.CLOCK:
            acts += [ClockStart(), ClockStop(), TeamFoul(side)]
        else:
            acts += [
                Foul(side, random.choice("45678"), Charged.PLAYER, "personal"),
                FreeThrow(side, "4", made=random.random() < 0.7),
            ]
        return random.choice(acts)

    def _score(self, seat: Seat) -> Act:
        side, points = self._side(), self._random.choice((2, 2, 3))
        return Points(side, points) if seat is Seat.CLOCK else Basket(side, "4", points)

    def _side(self) -> Side:
        return self._random.choice((Side.HOME, Side.AWAY))


@pytest.mark.parametrize("seed", range(40))
@pytest.mark.parametrize(
    "seats",
    [(Seat.BOOK, Seat.CLOCK), (Seat.BOOK, Seat.CLOCK, Seat.VISITING)],
    ids=["two", "three"],
)
def test_any_muddle_comes_to_rest(seats: tuple[Seat, ...], seed: int) -> None:
    muddle = Muddle(seed, seats)
    for _ in range(ENTRIES):
        muddle.go_on()
    muddle.check.advance(muddle.now_ms + HOUR_MS)
    assert muddle.check.next_deadline_ms() is None
    waiting = [a for a in muddle.check.awaited() if a.item not in STANDING]
    assert waiting == []
