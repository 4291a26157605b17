"""Where the relay's processor time goes: each stage of an entry, under three loads.

    python -m tests.benchmarks.bench_stages [--rounds N]

Microseconds an entry, medians of the rounds. Beside them stands what the bare durable
relay takes for the same load, whatever it does with it. Timing costs a microsecond or
two a call, which the stages bear; the line before the last is the relay's without it.
Waiting is no part of this: for the disk, for a thread's turn, for a processor.
"""

from __future__ import annotations

import argparse
import asyncio
import json
import os
import signal
import statistics
import subprocess
import sys
import tempfile
from collections import defaultdict
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING

from tests.benchmarks.pairs import bare_pairs, hang_up, pace, relay_pairs, saturate
from tests.benchmarks.servers import Running, floor, relay
from tests.benchmarks.staged_relay import STAGES, WHOLE

if TYPE_CHECKING:
    from collections.abc import Awaitable, Callable, Iterator, Sequence

    from tests.benchmarks.pairs import Writer

    Dial = Callable[[int, int, int], Awaitable[list[Writer]]]
    Spent = Callable[[], dict[str, int]]

REST = "event loop, tasks, futures, turns of the threads"
PLAIN = "our relay, not timed"
FLOOR = "bare durable relay"


@dataclass(frozen=True, slots=True)
class Load:
    """So many entries of each of so many pairs, in a hurry or at a table's pace."""

    name: str
    pairs: int
    each: int
    under_way: int
    rate: float | None = None
    """Entries a second in all; None in a hurry."""

    async def put_on(self, port: int, dial: Dial, spent: Spent) -> dict[str, float]:
        """What each entry costs, in microseconds."""
        writers = await dial(port, self.pairs, self.each)
        before = spent()
        if self.rate is None:
            await saturate(writers, self.each, self.under_way)
        else:
            await pace(writers, self.rate, self.pairs * self.each / self.rate)
        after = spent()
        hang_up(writers)
        entries = self.pairs * self.each
        return {name: (after[name] - before[name]) / entries / 1e3 for name in after}


LOADS = (
    Load("50 pairs, 16 under way", 50, 150, 16),
    Load("50 pairs, 1 under way", 50, 60, 1),
    Load("50 pairs, 200/s in all", 50, 12, 1, 200),
)


@contextmanager
def _staged_relay() -> Iterator[tuple[int, Spent]]:
    """Where it listens, and what it says it has spent."""
    with tempfile.TemporaryDirectory() as folder:
        options = ["--insecure", "--port", "0", "--store", f"{folder}/relay.db"]
        process = subprocess.Popen(
            [sys.executable, "-m", "tests.benchmarks.staged_relay", *options],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        assert process.stdout is not None
        assert process.stderr is not None
        said = process.stdout

        def spent() -> dict[str, int]:
            os.kill(process.pid, signal.SIGUSR1)
            taken: dict[str, int] = json.loads(said.readline())
            return taken

        try:
            address = process.stderr.readline().split()[4]
            yield int(address.rpartition(":")[2]), spent
        finally:
            process.terminate()
            process.communicate()


def _whole_of(running: Running, name: str) -> Spent:
    return lambda: {name: int(running.processor_s() * 1e9)}


def _round(load: Load) -> dict[str, float]:
    with _staged_relay() as (port, spent):
        taken = asyncio.run(load.put_on(port, relay_pairs, spent))
    taken[REST] = taken.pop(WHOLE) - sum(taken.values())
    with relay() as ours:
        put = load.put_on(ours.port, relay_pairs, _whole_of(ours, PLAIN))
        taken |= asyncio.run(put)
    with floor("durable") as bare:
        put = load.put_on(bare.port, bare_pairs, _whole_of(bare, FLOOR))
        taken |= asyncio.run(put)
    return taken


def _table(rounds: int) -> Iterator[str]:
    found: defaultdict[str, list[list[float]]] = defaultdict(list)
    for load in LOADS:
        taken = [_round(load) for _ in range(rounds)]
        for name in (*STAGES, REST, PLAIN, FLOOR):
            found[name].append([one[name] for one in taken])
    yield _row("processor time an entry, µs", [load.name for load in LOADS])
    yield "| --- |" + " ---: |" * len(LOADS)
    for name, by_load in found.items():
        yield _row(name, [f"{statistics.median(values):.1f}" for values in by_load])


def _row(name: str, cells: Sequence[str]) -> str:
    return f"| {name} | {' | '.join(cells)} |"


def main() -> None:
    parser = argparse.ArgumentParser(description="Where the relay's time goes.")
    parser.add_argument("--rounds", type=int, default=3)
    for line in _table(parser.parse_args().rounds):
        print(line)


if __name__ == "__main__":
    main()
