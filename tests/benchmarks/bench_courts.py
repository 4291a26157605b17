"""The director's table over many running games: its age, its cost, and whom it slows.

    python -m tests.benchmarks.bench_courts [--games N] [--rate N] [--own N]

Every round has a relay of its own, in a process of its own, and games of which both
seats beat each second and write entries at random moments. Every other round has
directors, in a third process: some that read, one that takes seconds over each news,
some that read nothing. Told are: how long the partner waits for an entry, with and
without directors; how old the table is when it shows an entry (from before the entry is
sent); and what a summary costs whoever works it out, early and late in a real game.
"""

from __future__ import annotations

import argparse
import asyncio
import math
import statistics
import tempfile
import time
from dataclasses import dataclass, field, replace
from pathlib import Path
from random import Random

from tablesync.core.acts import Seat
from tablesync.sync.courts.court import Court
from tests.benchmarks.court_ages import Directors, Shown, ages
from tests.benchmarks.court_seats import Hall, Load
from tests.benchmarks.servers import Running, relay
from tests.court_scene import beat
from tests.entering import entered
from tests.realgames import GAMES
from tests.recording import real_scenario

SETTLE_S = 1.5
"""After the last entry the table has so long to show it."""


@dataclass
class Rounds:
    """What the rounds of one kind have come to."""

    waits: list[float] = field(default_factory=list)
    medians: list[float] = field(default_factory=list)
    highs: list[float] = field(default_factory=list)
    cpu: list[float] = field(default_factory=list)
    ages: list[float] = field(default_factory=list)
    silences: list[float] = field(default_factory=list)
    never_shown: int = 0

    def add(self, waits: list[float], cpu: float) -> None:
        """One round's waits of the partners, and share of a core."""
        self.waits += waits
        self.medians.append(share(waits, 0.5))
        self.highs.append(share(waits, 0.99))
        self.cpu.append(cpu)

    def look(self, hall: Hall, shown: Shown) -> None:
        """When the director saw what was entered."""
        self.silences += shown.silences
        for _, age in ages(hall.counts, shown):
            if math.isinf(age):
                self.never_shown += 1
            else:
                self.ages.append(age)


def share(times: list[float], part: float) -> float:
    """The time within which this part of all are."""
    return sorted(times)[int(len(times) * part)]


def told(times: list[float]) -> str:
    return (
        f"median {share(times, 0.5) * 1e3:.1f} ms, "
        f"99 in 100 within {share(times, 0.99) * 1e3:.0f} ms, "
        f"longest {max(times) * 1e3:.0f} ms (of {len(times)})"
    )


def each(times: list[float]) -> str:
    return " ".join(f"{time * 1e3:.1f}" for time in times)


async def one_round(
    running: Running, asked: argparse.Namespace, number: int, rounds: Rounds
) -> None:
    """Plays for a while at a new relay; every other time with directors."""
    hall = Hall(running.port)
    await hall.open(asked.games)
    directors = None
    if number % 2:
        kinds = (asked.reading, asked.slow, asked.mute)
        directors = Directors(running.address, *kinds)
        await asyncio.to_thread(directors.wait_ready)
    before = running.processor_s()
    waits = await hall.play(
        asked.seconds, Load(asked.rate, asked.own), Random(number // 2)
    )
    rounds.add(waits, (running.processor_s() - before) / asked.seconds)
    await asyncio.sleep(SETTLE_S)
    if directors is not None:
        rounds.look(hall, await asyncio.to_thread(directors.end))
    await hall.close()


def measure(asked: argparse.Namespace) -> None:
    """All rounds, by turns without and with directors."""
    without, with_them = Rounds(), Rounds()
    for number in range(2 * asked.rounds):
        rounds = with_them if number % 2 else without
        with relay() as running:
            asyncio.run(one_round(running, asked, number, rounds))
    print(f"{asked.games} games, {asked.rate + asked.own:.0f} entries/s in all")
    kinds = f"{asked.reading} read, {asked.slow} slowly, {asked.mute} not at all"
    directors = f"directors, of whom {kinds}"
    for name, rounds in (("no director", without), (directors, with_them)):
        print(name)
        print(f"  the partner waits: {told(rounds.waits)}")
        print(f"    medians of the rounds: {each(rounds.medians)} ms")
        print(f"    99 in 100, of the rounds: {each(rounds.highs)} ms")
        print(f"  the relay takes {statistics.mean(rounds.cpu):.0%} of a core")
    print(f"  age of the table when it shows an entry: {told(with_them.ages)}")
    print(f"  entries that it never showed: {with_them.never_shown}")
    print(f"  between two news: {told(with_them.silences)}")


def measure_cost(games: int, folder: Path) -> None:
    """What a summary takes, entry by entry of real games."""
    early: list[float] = []
    late: list[float] = []
    beats: list[float] = []
    for name in GAMES[:games]:
        scenario = real_scenario(name, folder, 5)
        made = entered(scenario)
        court = Court(scenario.sheet, scenario.rules, made.game)
        costs = []
        numbers = dict.fromkeys((Seat.BOOK, Seat.CLOCK), 0)
        to_come = {
            seat: [e.table_time_ms for e in made.entries if e.seat is seat]
            for seat in numbers
        }
        for entry in made.entries:
            numbers[entry.seat] += 1
            began = time.perf_counter()
            court.take([entry])
            while court.check():
                pass
            court.summary()
            costs.append(time.perf_counter() - began)
            for seat, number in numbers.items():
                # No beat says more than is kept: what comes later is no earlier.
                rest = to_come[seat][number:]
                heard_ms = min([entry.table_time_ms + 1, *rest])
                presence = replace(beat(seat, [], heard_ms), number=number)
                began = time.perf_counter()
                court.take([presence])
                while court.check():
                    pass
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
    parser.add_argument("--rounds", type=int, default=4, help="of each kind")
    parser.add_argument("--seconds", type=float, default=15)
    parser.add_argument("--rate", type=float, default=100, help="baskets' entries/s")
    parser.add_argument("--own", type=float, default=0, help="one seat's own, a second")
    parser.add_argument("--reading", type=int, default=3, help="directors that read")
    parser.add_argument("--slow", type=int, default=1, help="that read slowly")
    parser.add_argument("--mute", type=int, default=3, help="that read nothing")
    parser.add_argument("--no-cost", action="store_true", help="only the rounds")
    asked = parser.parse_args()
    if not asked.no_cost:
        with tempfile.TemporaryDirectory() as folder:
            measure_cost(10, Path(folder))
    measure(asked)


if __name__ == "__main__":
    main()
