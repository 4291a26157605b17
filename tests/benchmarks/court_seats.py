"""The seats of many running games at one relay, as far as a relay can tell."""

from __future__ import annotations

import asyncio
import time
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

from websockets.asyncio.client import connect

from tablesync.clock import MonotonicClock
from tablesync.core.acts import Basket, Points, Seat, Side
from tablesync.core.vector_clock import DeviceId, VectorClock
from tablesync.scenario import read_scenario
from tablesync.seal import DeviceKey, Pen
from tablesync.sheet_bytes import game_id, write_sheet
from tablesync.sync.codec import decode, encode
from tablesync.sync.messages import (
    PROTOCOL,
    Beat,
    Entries,
    Hello,
    Sealed,
    SheetFrame,
    SheetRequest,
)

if TYPE_CHECKING:
    from contextlib import AsyncExitStack
    from random import Random

    from websockets.asyncio.client import ClientConnection

    from tablesync.core.acts import Act

__all__ = ["OPTIONS", "Hall"]

SHEET = read_scenario(Path("scenarios/clean-quarter.jsonl")).sheet
CLOCK = MonotonicClock()
SLIPS = 0.02
OPTIONS = {"compression": None, "proxy": None}


@dataclass
class Seated:
    """One seat's device."""

    game: bytes
    seat: Seat
    socket: ClientConnection
    key: DeviceKey
    heard: dict[bytes, float]
    """When each entry has come to the partner of who wrote it."""
    partner: DeviceId
    written: int = 0
    known: int = 0
    """How many of the partner's entries have come."""
    pen: Pen = field(init=False)

    def __post_init__(self) -> None:
        self.pen = Pen(self.key, self.seat, self.game)

    async def beat(self) -> None:
        while True:
            now_ms = CLOCK.now_ms()
            await self.socket.send(encode(Beat(now_ms - 5, self.written, now_ms)))
            await asyncio.sleep(1)

    async def read(self) -> None:
        async for frame in self.socket:
            match decode(frame):
                case Entries(entries):
                    self.known += len(entries)
                    for one in entries:
                        self.heard[one.payload] = time.perf_counter()
                case _:
                    pass

    async def write(self, act: Act) -> tuple[bytes, float]:
        seen = VectorClock({self.partner: self.known} if self.known else {})
        entry = self.pen.write(act, seen, CLOCK.now_ms())
        self.written += 1
        began = time.perf_counter()
        sealed = Sealed(entry.payload, entry.signature)
        await self.socket.send(encode(Entries((sealed,))))
        return entry.payload, began


@dataclass
class Hall:
    """All seats of all games, and when each entry was sent."""

    stack: AsyncExitStack
    address: str
    seats: list[Seated] = field(default_factory=list)
    tasks: list[asyncio.Task[None]] = field(default_factory=list)
    sent: dict[bytes, float] = field(default_factory=dict)
    heard: dict[bytes, float] = field(default_factory=dict)
    counts: dict[bytes, list[float]] = field(default_factory=dict)
    """Per game, when its first, second, … entry was sent."""

    async def open(self, games: int) -> None:
        """Seats both officials of all games, who then beat each second."""
        for number in range(games):
            await self._open(number)
        for seated in self.seats:
            self.tasks.append(asyncio.create_task(seated.beat()))
            await asyncio.sleep(1 / len(self.seats))

    async def _open(self, number: int) -> None:
        sheet = write_sheet(replace(SHEET, mark=str(number), court=str(number)))
        game = game_id(sheet)
        self.counts[game] = []
        keys = {
            seat: DeviceKey(number.to_bytes(31, "big") + seat[0].encode())
            for seat in (Seat.BOOK, Seat.CLOCK)
        }
        for (seat, key), other in zip(keys.items(), reversed(keys), strict=True):
            dialled = connect(self.address, **OPTIONS)  # type: ignore[arg-type]
            socket = await self.stack.enter_async_context(dialled)
            await socket.send(encode(Hello(PROTOCOL, game, key.device, seat, {})))
            if isinstance(decode(await socket.recv()), SheetRequest):
                await socket.send(encode(SheetFrame(sheet)))
            partner = keys[other].device
            seated = Seated(game, seat, socket, key, self.heard, partner)
            self.seats.append(seated)
            self.tasks.append(asyncio.create_task(seated.read()))

    async def play(self, seconds: float, rate: float, random: Random) -> None:
        """Baskets of random games, which come to `rate` entries a second over all.

        The timer puts the points up, and the scorer is done a while later. Of one in
        fifty one of the two forgets.
        """
        pairs = list(zip(self.seats[::2], self.seats[1::2], strict=True))
        due: list[tuple[float, int, Seated, Act]] = []
        at_s = 0.0
        while at_s < seconds:
            at_s += random.expovariate(rate / 2)
            book, clock = random.choice(pairs)
            side, points = random.choice(tuple(Side)), random.choice((2, 2, 3))
            both: list[tuple[float, int, Seated, Act]] = [
                (at_s, len(due), clock, Points(side, points)),
                (
                    at_s + random.lognormvariate(0.7, 0.4),
                    len(due) + 1,
                    book,
                    Basket(side, "4", points),
                ),
            ]
            if random.random() < SLIPS:
                both.pop(random.randrange(2))
            due += both
        began = time.perf_counter()
        for at_s, _, seated, act in sorted(due, key=lambda one: one[:2]):
            await asyncio.sleep(max(0.0, began + at_s - time.perf_counter()))
            payload, at = await seated.write(act)
            self.sent[payload] = at
            self.counts[seated.game].append(at)

    def partner_waits(self) -> list[float]:
        """How long each entry took to the partner."""
        return [self.heard[p] - at for p, at in self.sent.items() if p in self.heard]

    async def close(self) -> None:
        """Ends the seats' tasks; the sockets end with the stack."""
        for task in self.tasks:
            task.cancel()
        await asyncio.gather(*self.tasks, return_exceptions=True)
