"""A day of 400 courts in some minutes: whole games, one after the other on each court.

    python -m tests.benchmarks.bench_day [--courts N] [--games N] [--minutes N]

Both seats of every game enter all that they do in a real game (where the real games are
absent: in an invented quarter, four times), each game under a sheet and with devices of
its own. Time goes faster by a factor, which is told: courts begin at different moments,
as they do in a hall, so the load is about even. When a game is over its devices leave,
and the next are seated. Everything goes through a relay process over sockets. Nobody
follows the courts: a table of games at so many times their pace would say nothing.

Told are: the entries, how long they took to the partner, what processor time the relay
had, its memory before the first game, in the middle and when all have left, and how
large its file has become. At a hundred times the pace a relay is nearly full, so the
waits are not those of a day in a hall: `court_figures` has those. What an entry costs,
and what stays in memory after all the games, are.
"""

from __future__ import annotations

import argparse
import asyncio
import gc
import tempfile
import time
from dataclasses import dataclass, replace
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING

from tablesync.core.acts import Seat
from tablesync.scenario import Enter, StrikeOut, read_scenario
from tablesync.seal import DeviceKey
from tablesync.sheet_bytes import game_id, write_sheet
from tablesync.sync.claim import Claim
from tests.benchmarks.court_seats import Hall
from tests.benchmarks.figures import percentile
from tests.benchmarks.servers import relay
from tests.realgames import GAMES
from tests.recording import real_scenario

if TYPE_CHECKING:
    from tablesync.core.acts import Act
    from tablesync.core.sheet import GameSheet
    from tablesync.scenario import Scenario
    from tests.benchmarks.servers import Running

QUARTER = Path("scenarios/clean-quarter.jsonl")
BREAK_S = 600.0
"""Between two games on a court."""
MOST_UNDER_WAY = 4
"""Entries of a seat: where the relay is full the day takes longer, no queue grows."""


@dataclass(frozen=True, slots=True)
class Script:
    """A game as both seats enter it."""

    sheet: GameSheet
    acts: list[tuple[float, Seat, Act]]
    """Each with the seconds since the game began."""

    @property
    def length_s(self) -> float:
        """Until the next game begins."""
        return self.acts[-1][0] + BREAK_S


def real_scripts(folder: Path) -> list[Script]:
    """The real games; none where they are absent."""
    return [script_of(real_scenario(name, folder, slips=0), 1) for name in GAMES]


def script_of(scenario: Scenario, times: int) -> Script:
    """A scenario, so many times in a row."""
    acts = [
        (step.t_ms / 1_000, step.seat, step.act)
        for step in scenario.steps
        if isinstance(step, Enter) and not isinstance(step.act, StrikeOut)
    ]
    length_s = acts[-1][0]
    all_acts = [
        (turn * length_s + at_s, seat, act)
        for turn in range(times)
        for at_s, seat, act in acts
    ]
    return Script(scenario.sheet, all_acts)


def claims(sheet: GameSheet, number: int) -> tuple[Claim, Claim]:
    """Scorer and timer of one game of the day."""
    written = write_sheet(replace(sheet, court=str(number), mark=str(number)))
    book, clock = (
        Claim(DeviceKey(key.to_bytes(32, "big")), game_id(written), seat, written)
        for key, seat in ((2 * number + 1, Seat.BOOK), (2 * number + 2, Seat.CLOCK))
    )
    return book, clock


@dataclass(slots=True)
class Day:
    """All courts, each with its games."""

    hall: Hall
    scripts: list[Script]
    factor: float
    """So many times faster than they were does the time of the games go."""

    async def court(self, number: int, games: int, begins_s: float) -> None:
        """One court's games; they begin so many seconds of the day from now."""
        began = time.perf_counter() + begins_s / self.factor
        for turn in range(games):
            script = self.scripts[(number + 7 * turn) % len(self.scripts)]
            await self._sleep_until(began)
            await self._game(script, number * games + turn, began)
            began += script.length_s / self.factor

    async def _game(self, script: Script, number: int, began: float) -> None:
        pair = await self.hall.seat(*claims(script.sheet, number))
        by_seat = dict(zip((Seat.BOOK, Seat.CLOCK), pair, strict=True))
        for at_s, seat, act in script.acts:
            await self._sleep_until(began + at_s / self.factor)
            while len(by_seat[seat].under_way) >= MOST_UNDER_WAY:  # noqa: ASYNC110
                await asyncio.sleep(0.005)
            self.hall.write(by_seat[seat], act)
        while any(one.under_way for one in pair):  # noqa: ASYNC110
            await asyncio.sleep(0.01)
        self.hall.leave(pair)

    async def _sleep_until(self, moment: float) -> None:
        wait_s = moment - time.perf_counter()
        if wait_s > 0:
            await asyncio.sleep(wait_s)


async def play(
    running: Running, scripts: list[Script], asked: argparse.Namespace
) -> None:
    """Plays the day, and tells of it but for the file."""
    length_s = max(script.length_s for script in scripts)
    day_s = length_s * (asked.games + 1)
    day = Day(Hall(running.port), scripts, day_s / (asked.minutes * 60))
    random = Random(1)
    memory_kib, had_s = [running.resident_kib()], running.processor_s()
    day.hall.begin_beating()
    gc.collect()
    gc.disable()
    began = time.perf_counter()
    courts = [
        asyncio.create_task(day.court(number, asked.games, random.uniform(0, length_s)))
        for number in range(asked.courts)
    ]
    await asyncio.sleep(asked.minutes * 30)
    memory_kib.append(running.resident_kib())
    await asyncio.gather(*courts)
    took_s = time.perf_counter() - began
    gc.enable()
    await day.hall.close()
    memory_kib.append(running.resident_kib())
    took = running.processor_s() - had_s
    waits = list(day.hall.waits.values())
    hours = day_s / 3_600
    print(f"{asked.courts} courts, {asked.games} games each: {hours:.1f} h of a day")
    print(f"  in {took_s:.0f} s, {day_s / took_s:.0f} times as fast")
    print(f"  {len(waits)} entries, {len(waits) / took_s:.0f} a second")
    late = [percentile(waits, share) * 1e3 for share in (50, 99, 100)]
    print("  to the partner: median {:.1f}, 99th {:.1f}, most {:.1f} ms".format(*late))
    share = took / took_s
    print(f"  processor time of the relay: {took:.1f} s, {share:.0%} of a processor")
    print(f"    for each entry: {took / len(waits) * 1e6:.0f} µs")
    mib = [kib / 1_024 for kib in memory_kib]
    print("  its memory: {:.0f}, {:.0f}, {:.0f} MiB".format(*mib))


def main() -> None:
    parser = argparse.ArgumentParser(description="A day of 400 courts.")
    parser.add_argument("--courts", type=int, default=400)
    parser.add_argument("--games", type=int, default=2, help="on each court")
    parser.add_argument("--minutes", type=float, default=3, help="of the whole day")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        scripts = real_scripts(folder) or [script_of(read_scenario(QUARTER), 4)]
        with relay(folder) as running:
            asyncio.run(play(running, scripts, asked))
        size = sum(path.stat().st_size for path in folder.glob("relay.db*"))
        print(f"  its file when it has ended: {size / 2**20:.0f} MiB")


if __name__ == "__main__":
    main()
