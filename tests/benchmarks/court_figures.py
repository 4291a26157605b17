"""400 courts that two directors follow: at the pace of real games, and at a peak.

Each director is a process of its own that reads all it is told, the seats are a third,
the relay and the process beside it that sums up the courts are two more: on two
processors they get in each other's way, as they would not at a hall.

The pace is that of the 40 real games, as `make_scenario` lays them out in time: all
entries of both seats over the time from the first to the last, pauses included. Where
the games are absent, it is what they came to when this was written.

The busiest minute of any of them has 18 entries. At the peak each court has 180: acts
that both seats keep come as densely as if all 18 were such, and the rest are one seat's
own, players who go on and off and the clock. Baskets ten times as dense would be no
game: a team can't score twice in two seconds, and the check takes long over which of
many is which. `bench_courts --games 400 --rate 1200` tells what becomes of the table.
"""

from __future__ import annotations

import asyncio
import time
from dataclasses import dataclass
from random import Random
from typing import TYPE_CHECKING

from tests.benchmarks.court_ages import Directors, ages
from tests.benchmarks.court_seats import Hall, Load
from tests.benchmarks.figures import Figure, Goal, percentile
from tests.benchmarks.servers import relay
from tests.realgames import GAMES, made_scenario

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tests.benchmarks.servers import Running

__all__ = ["courts", "real_rate"]

COURTS = 400
DIRECTORS = 2
PEAK_RATE = 3.0
BUSIEST_RATE = 18 / 60
PEAK_S = 60.0
BASE_S = 15.0
MOST_ROUNDS = 1
"""The peak lasts a whole minute, since an age that grows shows only in time."""
SETTLE_S = 5.0
"""After the last entry the table has so long to show it."""
REAL_RATE = 0.089
PEAK = Load(BUSIEST_RATE * COURTS, (PEAK_RATE - BUSIEST_RATE) * COURTS)


@dataclass(frozen=True, slots=True)
class Stretch:
    """What a time of one load has come to."""

    waits_s: list[float]
    began: float
    relay_share: float
    beside_share: float


def real_rate() -> float:
    """Entries a second of one table in a real game."""
    entries, took_s = 0, 0.0
    for name in GAMES:
        lines, _ = made_scenario(name, "usual")
        times = [line["t"] for line in lines if "act" in line]
        entries += len(times)
        took_s += max(times) - min(times)
    return entries / took_s if GAMES else REAL_RATE


def courts(rounds: int) -> Iterator[Figure]:
    """400 courts and two directors; the peak is gone through once."""
    rate = real_rate()
    base = f"{COURTS} courts, {DIRECTORS} directors, {rate:.3g} entries/s each"
    peak = f"{COURTS} courts, {DIRECTORS} directors, {PEAK_RATE:g} entries/s each"
    figures = _Figures(base), _Figures(peak)
    for _ in range(min(rounds, MOST_ROUNDS)):
        with relay() as running:
            asyncio.run(_round(running, rate, figures))
    for one in figures:
        yield from one.all


class _Figures:
    """What is told of one load."""

    def __init__(self, load: str) -> None:
        def noted(what: str, unit: str) -> Figure:
            return Figure(f"{load}: {what}", unit, "none", Goal.NONE)

        def within(what: str, unit: str, most: float) -> Figure:
            return Figure(f"{load}: {what}", unit, "none", Goal.AT_MOST, most)

        self.median = noted("to the partner, median", "ms")
        self.late = within("to the partner, 99th percentile", "ms", 50)
        self.relay = noted("the relay's share of a processor", "%")
        self.beside = noted("the courts' process's share of one", "%")
        self.age = within("age of the table, median", "s", 1)
        self.oldest = within("age of the table, most", "s", 1.5)
        self.early = noted("age in the first third, 99th percentile", "s")
        self.grown = noted("age in the last third, 99th percentile", "s")
        self.all = (
            *(self.median, self.late, self.relay, self.beside),
            *(self.age, self.oldest, self.early, self.grown),
        )

    def note(self, stretch: Stretch, aged: list[float]) -> None:
        self.median.note(percentile(stretch.waits_s, 50) * 1e3)
        self.late.note(percentile(stretch.waits_s, 99) * 1e3)
        self.relay.note(stretch.relay_share * 100)
        self.beside.note(stretch.beside_share * 100)
        self.age.note(percentile(aged, 50))
        self.oldest.note(max(aged))
        third = len(aged) // 3
        self.early.note(percentile(aged[:third], 99))
        self.grown.note(percentile(aged[-third:], 99))


async def _round(
    running: Running, rate: float, figures: tuple[_Figures, _Figures]
) -> None:
    hall = Hall(running.port)
    await hall.open(COURTS)
    directors = [Directors(running.address, 1) for _ in range(DIRECTORS)]
    for one in directors:
        await asyncio.to_thread(one.wait_ready)
    stretches = [
        await _stretch(running, hall, BASE_S, Load(rate * COURTS)),
        await _stretch(running, hall, PEAK_S, PEAK),
    ]
    await asyncio.sleep(SETTLE_S)
    aged: list[tuple[float, float]] = []
    for one in directors:
        aged += ages(hall.counts, await asyncio.to_thread(one.end))
    await hall.close()
    aged.sort()
    bounds = [one.began for one in stretches] + [float("inf")]
    for own, stretch, until in zip(figures, stretches, bounds[1:], strict=True):
        own.note(stretch, [age for at, age in aged if stretch.began <= at < until])


async def _stretch(running: Running, hall: Hall, seconds: float, load: Load) -> Stretch:
    beside = running.process_beside()
    before = running.processor_s(), beside.processor_s()
    began = time.perf_counter()
    waits_s = await hall.play(seconds, load, Random(1))
    took_s = time.perf_counter() - began
    return Stretch(
        waits_s,
        began,
        (running.processor_s() - before[0]) / took_s,
        (beside.processor_s() - before[1]) / took_s,
    )
