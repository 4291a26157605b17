"""What goes through the relay: throughput and latency."""

from __future__ import annotations

import asyncio
import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING

from tablesync.core.acts import Note, Seat
from tablesync.core.vector_clock import VectorClock
from tablesync.seal import DeviceKey, Pen, verify
from tests.benchmarks.figures import Figure, Goal, percentile
from tests.benchmarks.floors import durable_connection
from tests.benchmarks.pairs import bare_pairs, hang_up, pace, relay_pairs, saturate
from tests.benchmarks.servers import anchor_floor, floor, relay

if TYPE_CHECKING:
    from collections.abc import Awaitable, Callable, Iterator
    from contextlib import AbstractContextManager

    from tests.benchmarks.pairs import Latencies, Writer
    from tests.benchmarks.servers import Running

    Dial = Callable[[int, int, int], Awaitable[list[Writer]]]

__all__ = [
    "LOADS",
    "latency",
    "lone_commits_s",
    "most_of_ours",
    "raw_forwarding",
    "throughput",
]

LOADS = {1: (3_000, 64), 50: (150, 16), 200: (40, 8), 1_000: (8, 4)}
"""Pairs, to the entries of each and how many of them are under way at a time."""
ALONE = {50: 60, 200: 20}
"""The entries of each pair where only one of them is under way at a time."""
SECONDS = 3.0


def _full(
    server: AbstractContextManager[Running],
    dial: Dial,
    pairs: int,
    each: int,
    most: int,
) -> float:
    async def run(port: int) -> float:
        writers = await dial(port, pairs, each)
        rate = await saturate(writers, each, most)
        hang_up(writers)
        return rate

    with server as running:
        return asyncio.run(run(running.port))


def most_of_ours(pairs: int) -> float:
    """Entries a second through our relay, with devices in a hurry."""
    each, most = LOADS[pairs]
    return _full(relay(), relay_pairs, pairs, each, most)


def throughput(rounds: int) -> Iterator[Figure]:
    """Entries a second, as many under way as devices in a hurry have, and one each."""
    loads = [(pairs, each, most) for pairs, (each, most) in LOADS.items()]
    loads += [(pairs, each, 1) for pairs, each in ALONE.items()]
    for pairs, each, most in loads:
        under_way = f"{pairs} pairs, {most} under way each"
        target = 0.3 if most == 1 else 0.5
        figure = Figure(
            f"throughput, {under_way}",
            "entries/s",
            "bare durable relay",
            Goal.AT_LEAST,
            target,
        )
        outside = Figure(
            f"throughput, {under_way}",
            "entries/s",
            "relay_floor.py of the anchors",
            Goal.AT_LEAST,
            target,
        )
        for _ in range(rounds):
            limit = _full(floor("durable"), bare_pairs, pairs, each, most)
            ours = _full(relay(), relay_pairs, pairs, each, most)
            figure.note(ours, limit)
            if (anchor := anchor_floor()) is not None:
                outside.note(ours, _full(anchor, bare_pairs, pairs, each, most))
        yield figure
        if outside.ours:
            yield outside


def _low(
    server: AbstractContextManager[Running], dial: Dial, pairs: int, rate: float
) -> Latencies:
    async def run(port: int) -> Latencies:
        writers = await dial(port, pairs, int(rate * (SECONDS + 1) / pairs) + 2)
        await pace(writers, rate, 0.5)
        latencies = await pace(writers, rate, SECONDS)
        hang_up(writers)
        return latencies

    with server as running:
        return asyncio.run(run(running.port))


def raw_forwarding(pairs: int, rate: float) -> Latencies:
    """What it takes to send on and answer, and nothing else."""
    return _low(floor("forward"), bare_pairs, pairs, rate)


def lone_commits_s(rate: float) -> list[float]:
    """One SQLite commit at a time, with the machine idle between them."""
    took_s = []
    with tempfile.TemporaryDirectory() as folder:
        connection = durable_connection(Path(folder) / "lone.db")
        for _ in range(int(rate * SECONDS)):
            time.sleep(1 / rate)
            began = time.perf_counter()
            connection.execute("INSERT INTO message (body) VALUES (?)", (bytes(250),))
            took_s.append(time.perf_counter() - began)
        connection.close()
    return took_s


def _verification_s() -> float:
    key = DeviceKey(bytes(32))
    entry = Pen(key, Seat.BOOK, bytes(32)).write(Note("x"), VectorClock(), 1)
    began = time.perf_counter()
    for _ in range(200):
        verify(entry)
    return (time.perf_counter() - began) / 200


def latency(rounds: int) -> Iterator[Figure]:
    """From sending to the other end and to the acknowledgement, at a table's pace."""
    for pairs, rate in ((1, 100), (50, 200)):
        raw = f"raw forwarding, {pairs} pairs at {rate}/s"
        median = Figure("to the partner, median", "µs", raw, Goal.AT_MOST, 1.5)
        late = Figure("to the partner, 99th percentile", "µs", raw, Goal.AT_MOST, 2)
        durable = Figure(
            "to the acknowledgement, 99th percentile",
            "µs",
            f"{raw}, and one commit, and one verification",
            Goal.AT_MOST,
            1.5,
        )
        for _ in range(rounds):
            bare = raw_forwarding(pairs, rate)
            commits_s = lone_commits_s(rate)
            ours = _low(relay(), relay_pairs, pairs, rate)
            median.note(
                percentile(ours.seen_s, 50) * 1e6, percentile(bare.seen_s, 50) * 1e6
            )
            late.note(
                percentile(ours.seen_s, 99) * 1e6, percentile(bare.seen_s, 99) * 1e6
            )
            limit_s = percentile(bare.acked_s, 99) + percentile(commits_s, 99)
            durable.note(
                percentile(ours.acked_s, 99) * 1e6, (limit_s + _verification_s()) * 1e6
            )
        yield from (median, late, durable)
