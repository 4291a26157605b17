"""The seats of many running games at one relay, as far as a relay can tell."""

from __future__ import annotations

import asyncio
import gc
import time
from collections import deque
from dataclasses import dataclass, field
from functools import partial
from itertools import chain
from typing import TYPE_CHECKING, TypeAlias

import msgpack

from tablesync.clock import MonotonicClock
from tablesync.core.acts import (
    Basket,
    ClockStart,
    ClockStop,
    Points,
    Seat,
    Side,
    Substitution,
)
from tablesync.core.vector_clock import VectorClock
from tablesync.seal import Pen
from tablesync.sync.codec import Kind, encode
from tablesync.sync.messages import Beat, Entries, Sealed
from tests.benchmarks.pairs import claim_of, seated

if TYPE_CHECKING:
    from collections.abc import Iterator
    from random import Random

    from tablesync.core.acts import Act
    from tablesync.core.vector_clock import DeviceId
    from tablesync.sync.claim import Claim
    from tests.benchmarks.wire import Line

    Due: TypeAlias = tuple[float, "Seated", Act]

__all__ = ["Hall", "Load", "Seated"]

CLOCK = MonotonicClock()
SLIPS = 0.02
SHOOTERS = {Side.HOME: "4", Side.AWAY: "12"}
BENCH = ("9", "5")
PATIENCE_S = 60.0


@dataclass(frozen=True, slots=True)
class Load:
    """How many entries a second are made in all games together."""

    both: float
    """Of acts that both seats keep, for which the check awaits the partner's."""
    one: float = 0.0
    """Of acts that only one seat keeps."""


@dataclass(slots=True)
class Seated:
    """One seat's device."""

    game: bytes
    line: Line
    pen: Pen
    partner: DeviceId
    has_left: bool = False
    written: int = 0
    known: int = 0
    """How many of the partner's entries have come."""
    under_way: deque[tuple[int, float]] = field(default_factory=deque)
    """Which entry of all, and when it was sent: those that the partner lacks."""

    def beat(self) -> None:
        """Says that all that was written up to now has been sent."""
        if self.has_left:
            return
        now_ms = CLOCK.now_ms()
        self.line.send([encode(Beat(now_ms - 5, self.written, now_ms))])

    def write(self, act: Act, number: int) -> float:
        """Sends an entry, the `number`th of all; tells when."""
        seen = VectorClock({self.partner: self.known} if self.known else {})
        entry = self.pen.write(act, seen, CLOCK.now_ms())
        frame = encode(Entries((Sealed(entry.payload, entry.signature),)))
        self.written += 1
        now = time.perf_counter()
        self.under_way.append((number, now))
        self.line.send([frame])
        return now


@dataclass(slots=True)
class Hall:
    """All seats of all games, and how long each entry was on its way."""

    port: int
    pairs: list[tuple[Seated, Seated]] = field(default_factory=list)
    """Scorer and timer of each game."""
    waits: dict[int, float] = field(default_factory=dict)
    """How long each entry took to the partner."""
    counts: dict[bytes, list[float]] = field(default_factory=dict)
    """Per game, when its first, second, … entry was sent."""
    _sent: int = 0
    _beating: asyncio.Task[None] | None = None

    async def open(self, games: int) -> None:
        """Seats both officials of all games, who then beat each second."""
        for number in range(games):
            book, clock = (claim_of(number, seat) for seat in (Seat.BOOK, Seat.CLOCK))
            await self.seat(book, clock)
        self.begin_beating()

    def begin_beating(self) -> None:
        """Lets whoever is seated beat each second."""
        self._beating = asyncio.create_task(self._beat())

    async def seat(self, book: Claim, clock: Claim) -> tuple[Seated, Seated]:
        """Seats both officials of a game."""
        self.counts[book.game] = []
        scorer = await self._seat(book, clock.key.device)
        timer = await self._seat(clock, book.key.device)
        scorer.line.on_message = partial(self._read, scorer, timer)
        timer.line.on_message = partial(self._read, timer, scorer)
        self.pairs.append((scorer, timer))
        return scorer, timer

    def leave(self, pair: tuple[Seated, Seated]) -> None:
        """Both officials of a game go."""
        self.pairs.remove(pair)
        for one in pair:
            one.has_left = True
            one.line.hang_up()

    async def _seat(self, claim: Claim, partner: DeviceId) -> Seated:
        assert claim.seat is not None
        line = await seated(self.port, claim)
        pen = Pen(claim.key, claim.seat, claim.game)
        return Seated(claim.game, line, pen, partner)

    def _read(self, reader: Seated, partner: Seated, frame: bytes) -> None:
        kind, *fields = msgpack.unpackb(frame)
        if kind == Kind.ENTRIES:
            now = time.perf_counter()
            # They come in the order in which the partner wrote them.
            for _ in fields[0]:
                number, sent = partner.under_way.popleft()
                self.waits[number] = now - sent
            reader.known += len(fields[0])

    async def _beat(self) -> None:
        while True:
            seats = [one for pair in self.pairs for one in pair]
            began = time.monotonic()
            for turn, one in enumerate(seats, 1):
                one.beat()
                await asyncio.sleep(began + turn / len(seats) - time.monotonic())
            if not seats:
                await asyncio.sleep(1)

    def write(self, one: Seated, act: Act) -> None:
        """Sends an entry."""
        self.counts[one.game].append(one.write(act, self._sent))
        self._sent += 1

    async def play(self, seconds: float, load: Load, random: Random) -> list[float]:
        """Random games of that load.

        Returns:
            How long each entry took to the partner.
        """
        due = sorted(
            chain(
                self._kept_by_both(seconds, load.both, random),
                self._kept_by_one(seconds, load.one, random),
            ),
            key=lambda one: one[0],
        )
        first = self._sent
        gc.collect()
        gc.disable()
        began = time.perf_counter()
        for at_s, one, act in due:
            wait_s = began + at_s - time.perf_counter()
            if wait_s > 0:
                await asyncio.sleep(wait_s)
            self.write(one, act)
        await self.wait_read()
        gc.enable()
        return [self.waits[number] for number in range(first, self._sent)]

    def _kept_by_both(
        self, seconds: float, rate: float, random: Random
    ) -> Iterator[Due]:
        """Baskets: the timer puts the points up, and the scorer is done a while later.

        Of one in fifty one of the two forgets.
        """
        for at_s in _moments(seconds, rate / 2, random):
            book, clock = random.choice(self.pairs)
            side, points = random.choice(tuple(Side)), random.choice((2, 2, 3))
            later_s = at_s + random.lognormvariate(0.7, 0.4)
            both: list[Due] = [
                (at_s, clock, Points(side, points)),
                (later_s, book, Basket(side, SHOOTERS[side], points)),
            ]
            if random.random() < SLIPS:
                both.pop(random.randrange(2))
            yield from both

    def _kept_by_one(
        self, seconds: float, rate: float, random: Random
    ) -> Iterator[Due]:
        """A player who goes on for another, and the clock started or stopped."""
        turns: dict[bytes, int] = {}
        for at_s in _moments(seconds, rate, random):
            book, clock = random.choice(self.pairs)
            turn = turns[book.game] = turns.get(book.game, 0) + 1
            if turn % 2:
                act = ClockStop() if turn // 2 % 2 else ClockStart()
                yield at_s, clock, act
            else:
                on, off = BENCH[::-1] if turn // 2 % 2 else BENCH
                yield at_s, book, Substitution(Side.HOME, (on,), (off,))

    async def wait_read(self) -> None:
        """Waits until all partners have all entries."""
        limit = time.perf_counter() + PATIENCE_S
        while len(self.waits) < self._sent:
            await asyncio.sleep(0.002)
            if time.perf_counter() > limit:
                raise TimeoutError("entries never came to the partner")

    async def close(self) -> None:
        """Ends the beats and all connections."""
        if self._beating is not None:
            self._beating.cancel()
            await asyncio.gather(self._beating, return_exceptions=True)
        for pair in self.pairs:
            for one in pair:
                one.line.hang_up()


def _moments(seconds: float, rate: float, random: Random) -> Iterator[float]:
    """Random ones, so many a second."""
    at_s = random.expovariate(rate) if rate else seconds
    while at_s < seconds:
        yield at_s
        at_s += random.expovariate(rate)
