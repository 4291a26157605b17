"""The director's table over many running games: its age, its cost, and whom it slows.

    python -m tests.benchmarks.bench_courts [--games N] [--seconds N] [--rate N]

The relay is a process of its own. Every game has two seats that beat each second and
write entries at random moments. Told are: how old the table is when it shows an entry
(from before the entry is sent), how long the partner waits for it, with directors of
whom some read nothing, and without any; and what a summary costs within the relay, for
entries early and late in a real game.
"""

from __future__ import annotations

import argparse
import asyncio
import statistics
import subprocess
import sys
import tempfile
import time
from contextlib import AsyncExitStack
from dataclasses import dataclass, field, replace
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING

from websockets.asyncio.client import connect
from websockets.exceptions import ConnectionClosed

from tablesync.clock import MonotonicClock
from tablesync.core.acts import Basket, Points, Seat, Side
from tablesync.core.history import History
from tablesync.court_client import CourtSession
from tablesync.scenario import read_scenario
from tablesync.seal import DeviceKey, Pen
from tablesync.sheet_bytes import game_id, write_sheet
from tablesync.sync.codec import decode, encode
from tablesync.sync.courts.codec import encode_courts
from tablesync.sync.courts.gathering import Courts
from tablesync.sync.courts.messages import Watch
from tablesync.sync.messages import (
    PROTOCOL,
    Beat,
    Entries,
    Hello,
    Sealed,
    SheetFrame,
    SheetRequest,
)
from tests.court_scene import beat
from tests.entering import entered
from tests.realgames import GAMES
from tests.recording import real_scenario

if TYPE_CHECKING:
    from websockets.asyncio.client import ClientConnection

SHEET = read_scenario(Path("scenarios/clean-quarter.jsonl")).sheet
CLOCK = MonotonicClock()
OPTIONS = {"compression": None, "proxy": None}


@dataclass
class Seated:
    """One seat's device, as far as a relay can tell."""

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

    async def open(self, number: int) -> None:
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


class Director:
    """Notes when each court's count of entries is shown."""

    def __init__(self, session: CourtSession, hall: Hall) -> None:
        self.ages: list[float] = []
        self.silences: list[float] = []
        self._session = session
        self._hall = hall
        self._shown: dict[bytes, int] = {}

    async def look(self) -> None:
        last = time.perf_counter()
        while True:
            await self._session.wait_for_news()
            now = time.perf_counter()
            self.silences.append(now - last)
            last = now
            for game in self._session.desk.take_changed():
                court = self._session.desk.courts[game]
                # What was written before it came is no news to a director.
                shown = self._shown.setdefault(game, court.written.entries)
                for at in self._hall.counts[game][shown : court.written.entries]:
                    self.ages.append(now - at)
                self._shown[game] = court.written.entries


def told(times: list[float]) -> str:
    ordered = sorted(times)
    middle, high = ordered[len(ordered) // 2], ordered[int(len(ordered) * 0.99)]
    return (
        f"median {middle * 1e3:.0f} ms, 99 in 100 within {high * 1e3:.0f} ms, "
        f"longest {ordered[-1] * 1e3:.0f} ms (of {len(ordered)})"
    )


def partner_waits(hall: Hall) -> list[float]:
    return [hall.heard[p] - at for p, at in hall.sent.items() if p in hall.heard]


def relay_cpu_s(pid: int) -> float:
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / 100


async def with_directors(hall: Hall, pid: int, asked: argparse.Namespace) -> None:
    """Runs the games with one director that reads and some that do not."""
    slow = []
    for _ in range(asked.slow):
        dialled = connect(hall.address, **OPTIONS)  # type: ignore[arg-type]
        socket = await hall.stack.enter_async_context(dialled)
        await socket.send(encode_courts(Watch(PROTOCOL)))
        socket.transport.pause_reading()
        slow.append(socket)
    session = CourtSession(hall.address, CLOCK)
    director = Director(session, hall)
    tasks = [asyncio.create_task(c) for c in (session.follow(), director.look())]
    before = relay_cpu_s(pid)
    await hall.play(asked.seconds, asked.rate, Random(2))
    cpu = (relay_cpu_s(pid) - before) / asked.seconds
    await asyncio.sleep(1)
    for task in tasks:
        task.cancel()
    for socket in slow:
        socket.transport.abort()
    written = sum(map(len, hall.counts.values()))
    print(f"{len(session.desk.courts)} courts, {written} entries written in all")
    print(f"  age of the table when it shows an entry: {told(director.ages)}")
    print(f"  between two news: {told(director.silences)}")
    print(f"  the partner waits: {told(partner_waits(hall))}")
    print(f"  the relay takes {cpu:.0%} of a core")


async def measure(pid: int, address: str, asked: argparse.Namespace) -> None:
    async with AsyncExitStack() as stack:
        hall = Hall(stack, address)
        for number in range(asked.games):
            await hall.open(number)
        for seated in hall.seats:
            hall.tasks.append(asyncio.create_task(seated.beat()))
            await asyncio.sleep(1 / len(hall.seats))
        before = relay_cpu_s(pid)
        await hall.play(asked.seconds, asked.rate, Random(1))
        cpu = (relay_cpu_s(pid) - before) / asked.seconds
        await asyncio.sleep(1)
        print(f"no director, {asked.rate} entries/s over {asked.games} games")
        print(f"  the partner waits: {told(partner_waits(hall))}")
        print(f"  the relay takes {cpu:.0%} of a core")
        hall.sent.clear()
        print(f"one director, and {asked.slow} that read nothing")
        await with_directors(hall, pid, asked)
        for task in hall.tasks:
            task.cancel()
        await asyncio.gather(*hall.tasks, return_exceptions=True)


def measure_cost(games: int, folder: Path) -> None:
    """What a relay spends on a summary, entry by entry of real games."""
    early: list[float] = []
    late: list[float] = []
    beats: list[float] = []
    for name in GAMES[:games]:
        scenario = real_scenario(name, folder, 5)
        made = entered(scenario)
        courts = Courts()
        courts.open_court(made.game, scenario.sheet, scenario.rules, ())
        costs = []
        numbers = dict.fromkeys((Seat.BOOK, Seat.CLOCK), 0)
        for entry in made.entries:
            numbers[entry.seat] += 1
            began = time.perf_counter()
            courts.entry_taken(made.game, entry)
            courts.work_on_one()
            court = courts.court(made.game)
            assert court is not None
            court.summary()
            costs.append(time.perf_counter() - began)
            for seat, number in numbers.items():
                presence = replace(
                    beat(seat, [], entry.table_time_ms + 1), number=number
                )
                began = time.perf_counter()
                courts.presence_changed(made.game, presence)
                courts.work_on_one()
                court.summary()
                beats.append(time.perf_counter() - began)
        early += costs[:100]
        late += costs[-100:]
    for words, costs in (
        ("an entry, of the first 100 of a game", early),
        ("an entry, of the last 100 of a game", late),
        ("a beat", beats),
    ):
        mean, worst = statistics.mean(costs) * 1e6, max(costs) * 1e6
        print(f"summary for {words}: mean {mean:.0f} µs, longest {worst:.0f} µs")


def main() -> None:
    parser = argparse.ArgumentParser(description="The director's table.")
    parser.add_argument("--games", type=int, default=200)
    parser.add_argument("--seconds", type=float, default=20)
    parser.add_argument("--rate", type=float, default=100, help="entries a second")
    parser.add_argument("--slow", type=int, default=3, help="directors not reading")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        measure_cost(10, Path(folder))
        program = [
            sys.executable,
            "-m",
            "tablesync",
            "relay",
            "--insecure",
            "--port",
            "0",
        ]
        relay = subprocess.Popen(
            [*program, "--store", f"{folder}/relay.db"],
            stderr=subprocess.PIPE,
            text=True,
        )
        try:
            assert relay.stderr is not None
            address = relay.stderr.readline().split()[4]
            asyncio.run(measure(relay.pid, address, asked))
        except ConnectionClosed as closed:
            print(f"a seat was dropped: {closed}")
            sys.exit(1)
        finally:
            relay.terminate()
            relay.wait()


if __name__ == "__main__":
    main()
