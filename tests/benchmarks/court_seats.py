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
from tablesync.core.history import History
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

__all__ = ["OPTIONS", "Hall"]

SHEET = read_scenario(Path("scenarios/clean-quarter.jsonl")).sheet
CLOCK = MonotonicClock()
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
    written: int = 0
    pen: Pen = field(init=False)
    known: History = field(init=False)

    def __post_init__(self) -> None:
        self.pen = Pen(self.key, self.seat, self.game)
        self.known = History(self.game)

    async def beat(self) -> None:
        while True:
            now_ms = CLOCK.now_ms()
            await self.socket.send(encode(Beat(now_ms - 5, self.written, now_ms)))
            await asyncio.sleep(1)

    async def read(self) -> None:
        async for frame in self.socket:
            match decode(frame):
                case Entries(entries):
                    for one in entries:
                        self.heard[one.payload] = time.perf_counter()
                case _:
                    pass

    async def write(self) -> tuple[bytes, float]:
        act = (
            Basket(Side.HOME, "4", 2)
            if self.seat is Seat.BOOK
            else Points(Side.HOME, 2)
        )
        entry = self.pen.write(act, self.known.have(), CLOCK.now_ms())
        self.known.add(entry)
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
        for seat in (Seat.BOOK, Seat.CLOCK):
            key = DeviceKey(number.to_bytes(31, "big") + seat[0].encode())
            dialled = connect(self.address, **OPTIONS)  # type: ignore[arg-type]
            socket = await self.stack.enter_async_context(dialled)
            await socket.send(encode(Hello(PROTOCOL, game, key.device, seat, {})))
            if isinstance(decode(await socket.recv()), SheetRequest):
                await socket.send(encode(SheetFrame(sheet)))
            seated = Seated(game, seat, socket, key, self.heard)
            self.seats.append(seated)
            self.tasks.append(asyncio.create_task(seated.read()))

    async def play(self, seconds: float, rate: float, random: Random) -> None:
        """Entries of random seats, `rate` a second over all games."""
        began = time.perf_counter()
        due = 0.0
        while due < seconds:
            due += random.expovariate(rate)
            await asyncio.sleep(max(0.0, began + due - time.perf_counter()))
            seated = random.choice(self.seats)
            payload, at = await seated.write()
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
