"""Pairs of devices under load: one end writes, the other must see it.

A pair's `Writer` is told of each entry that the other end has seen and of each that the
server has said to be on its disk. `saturate` keeps a number of entries of every pair
under way; `pace` sends at a steady low rate whatever becomes of it.
"""

from __future__ import annotations

import asyncio
import gc
import struct
import time
from collections import deque
from dataclasses import dataclass
from itertools import count
from typing import TYPE_CHECKING

import msgpack

from tablesync.core.acts import Note, Seat
from tablesync.core.vector_clock import VectorClock
from tablesync.seal import DeviceKey, Pen
from tablesync.sheet_bytes import game_id, write_sheet
from tablesync.sync.claim import Claim, Standing
from tablesync.sync.codec import Kind, encode
from tablesync.sync.device import DeviceSide
from tablesync.sync.intake import Archive
from tablesync.sync.messages import Beat, Entries, Sealed
from tablesync.sync.timing import Timing
from tests.benchmarks.floors import HEADER_BYTES
from tests.benchmarks.wire import dial
from tests.scribe import SHEET

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from tablesync.sync.intake import Holder
    from tests.benchmarks.wire import Line

__all__ = [
    "BARE_BODY",
    "HOST",
    "Latencies",
    "Writer",
    "bare_pairs",
    "claim_of",
    "hang_up",
    "pace",
    "relay_pairs",
    "saturate",
    "seated",
]

HOST = "127.0.0.1"
HEADER = struct.Struct(">QHI")
BARE_BODY = bytes(range(256))[:240]
"""About what one entry with its signature takes."""


class Writer:
    """The writing end of a pair, with all that it is going to send."""

    def __init__(self, lines: Sequence[Line], frames: Sequence[bytes]) -> None:
        self.lines = lines
        self.window = 0
        self.beating: asyncio.Task[None] | None = None
        self.seen_s: list[float] = []
        self.acked_s: list[float] = []
        self._line = lines[0]
        self._frames = frames
        self._sent = 0
        self._last = 0
        self._unseen: deque[float] = deque()
        self._unacked: deque[float] = deque()

    @property
    def is_idle(self) -> bool:
        """Whether all that was sent has been seen and acknowledged."""
        return not self._unseen and not self._unacked

    @property
    def left(self) -> int:
        """How many entries it has yet to send."""
        return len(self._frames) - self._sent

    def begin(self, entries: int, window: int) -> None:
        """Sends that many more, at most `window` of them under way at a time."""
        self.window = window
        self._last = min(self._sent + entries, len(self._frames))
        self._refill()

    def _refill(self) -> None:
        under_way = max(len(self._unseen), len(self._unacked))
        n = min(self._last - self._sent, self.window - under_way)
        if n > 0:
            now = time.perf_counter()
            self._line.send(self._frames[self._sent : self._sent + n])
            self._sent += n
            self._unseen.extend([now] * n)
            self._unacked.extend([now] * n)

    def seen(self, entries: int) -> None:
        """The other end has that many more."""
        now = time.perf_counter()
        for _ in range(entries):
            self.seen_s.append(now - self._unseen.popleft())
        self._refill()

    def acked(self, up_to: int) -> None:
        """The first `up_to` entries are on the server's disk."""
        now = time.perf_counter()
        while self._sent - len(self._unacked) < up_to:
            self.acked_s.append(now - self._unacked.popleft())
        self._refill()


@dataclass(frozen=True, slots=True)
class Latencies:
    """Sorted, in seconds."""

    seen_s: list[float]
    acked_s: list[float]


def _drained(writers: Sequence[Writer]) -> bool:
    return all(writer.is_idle for writer in writers)


async def _wait_drained(writers: Sequence[Writer]) -> None:
    limit = time.perf_counter() + 60
    while not _drained(writers):
        await asyncio.sleep(0.002)
        if time.perf_counter() > limit:
            raise TimeoutError("entries were lost")


async def saturate(writers: Sequence[Writer], each: int, window: int) -> float:
    """Entries a second from end to end, with `each` of every pair."""
    gc.collect()
    gc.disable()
    began = time.perf_counter()
    for writer in writers:
        writer.begin(each, window)
    await _wait_drained(writers)
    took = time.perf_counter() - began
    gc.enable()
    return each * len(writers) / took


async def pace(writers: Sequence[Writer], rate: float, seconds: float) -> Latencies:
    """Sends `rate` entries a second in all, each pair in its turn."""
    for writer in writers:
        writer.seen_s.clear()
        writer.acked_s.clear()
    gc.collect()
    gc.disable()
    began = time.perf_counter()
    for turn in range(int(rate * seconds)):
        wait_s = began + turn / rate - time.perf_counter()
        if wait_s > 0:
            await asyncio.sleep(wait_s)
        writers[turn % len(writers)].begin(1, 1_000)
    await _wait_drained(writers)
    gc.enable()
    return Latencies(
        sorted(s for writer in writers for s in writer.seen_s),
        sorted(s for writer in writers for s in writer.acked_s),
    )


async def bare_pairs(port: int, pairs: int, each: int) -> list[Writer]:
    """Pairs at one of the floors."""
    writers = []
    for pair in range(pairs):
        far = await dial(HOST, port, f"/{pair}/b")
        near = await dial(HOST, port, f"/{pair}/a")
        frames = [HEADER.pack(0, pair, n + 1) + BARE_BODY for n in range(each)]
        writer = Writer((near, far), frames)

        def acked(message: bytes, writer: Writer = writer) -> None:
            assert len(message) == HEADER_BYTES
            writer.acked(HEADER.unpack(message)[2])

        def seen(_message: bytes, writer: Writer = writer) -> None:
            writer.seen(1)

        far.on_message, near.on_message = seen, acked
        writers.append(writer)
    return writers


def claim_of(pair: int, seat: Seat) -> Claim:
    """A device of a pair's game, and the game's sheet."""
    sheet = write_sheet(SHEET)
    sheet = sheet.replace(b"Harbour Mills v Tidegate", b"Harbour Mills v %08d" % pair)
    number = pair * 4 + list(Seat).index(seat) + 1
    return Claim(DeviceKey(number.to_bytes(32, "big")), game_id(sheet), seat, sheet)


def _acts() -> Iterator[Note]:
    """Acts for which no partner is awaited: the check of a game is no part of this."""
    return (Note(f"a word for the record, number {n}") for n in count())


def _written(claim: Claim, seen: VectorClock, each: int) -> list[bytes]:
    """Frames with one entry each, as a device sends what an official enters."""
    assert claim.seat is not None
    pen, acts = Pen(claim.key, claim.seat, claim.game), _acts()
    entries = (pen.write(next(acts), seen, n + 1) for n in range(each))
    return [encode(Entries((Sealed(e.payload, e.signature),))) for e in entries]


def _now_ms() -> int:
    return time.monotonic_ns() // 1_000_000


async def seated(
    port: int, claim: Claim, holder: Holder | None = None, entries: int = 0
) -> Line:
    """A device that the relay has welcomed, with so many entries in its holder."""
    line = await dial(HOST, port)
    holder = holder or Archive(claim.game)
    side = DeviceSide(claim, holder, Timing(), Standing())
    linked = asyncio.get_running_loop().create_future()

    def greet(frame: bytes) -> None:
        side.receive_frame(frame, _now_ms())
        side.effects()
        line.send(side.frames_to_send())
        has_all = side.is_linked and len(holder.history) >= entries
        if has_all and not linked.done():
            linked.set_result(None)

    line.on_message = greet
    side.connected(_now_ms())
    line.send(side.frames_to_send())
    await asyncio.wait_for(linked, 20)
    return line


def hang_up(writers: Sequence[Writer]) -> None:
    """Ends all connections, and the beats on them."""
    for writer in writers:
        if writer.beating is not None:
            writer.beating.cancel()
        for line in writer.lines:
            line.hang_up()


async def relay_pairs(port: int, pairs: int, each: int, first: int = 0) -> list[Writer]:
    """Pairs at our relay; the far end has written one entry, which the near one knew.

    The devices say their beats, as real ones do.
    """
    writers = []
    for pair in range(first, first + pairs):
        book, clock = claim_of(pair, Seat.BOOK), claim_of(pair, Seat.CLOCK)
        near, far = await seated(port, book), await seated(port, clock)
        assert clock.seat is not None
        opening = Pen(clock.key, clock.seat, clock.game).write(
            Note("here"), VectorClock(), 1
        )
        far.send([encode(Entries((Sealed(opening.payload, opening.signature),)))])
        known = VectorClock({clock.key.device: 1})
        writer = Writer((near, far), _written(book, known, each))

        def on_near(frame: bytes, writer: Writer = writer) -> None:
            kind, *fields = msgpack.unpackb(frame)
            if kind == Kind.DURABLE:
                writer.acked(fields[0][0][1][0][0])

        def on_far(frame: bytes, writer: Writer = writer) -> None:
            kind, *fields = msgpack.unpackb(frame)
            if kind == Kind.ENTRIES:
                writer.seen(len(fields[0]))

        near.on_message, far.on_message = on_near, on_far
        writers.append(writer)
    beating = asyncio.create_task(_beat(writers))
    writers[0].beating = beating
    return writers


async def _beat(writers: Sequence[Writer]) -> None:
    """Every device says once a second that it is there, each at a time of its own."""
    lines = [line for writer in writers for line in writer.lines]
    while True:
        began = time.monotonic()
        for turn, line in enumerate(lines, 1):
            line.send([encode(Beat(0, 0, _now_ms()))])
            await asyncio.sleep(began + turn / len(lines) - time.monotonic())
