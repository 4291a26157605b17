"""Gives every reader much wrong input, and keeps what it crashes on.

    python -m tests.benchmarks.bench_fuzz [--frames N] [--files N] [--seed S]

What a reader crashes on is kept in `tests/fuzz/crashers` and is a test from then on.
"""

from __future__ import annotations

import argparse
import resource
import sys
import time
from random import Random

from tests.fuzz.targets import FILES, FRAMES, Target, keep

PROGRESS_S = 10.0
SHARES = {"frames": 0.6, "courts": 0.2, "door": 0.1, "relay": 0.05, "device": 0.05}
"""Of the frames: relay and device look at signatures too, which takes them longer."""


def most_memory_mib() -> int:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024


def fuzz(target: Target, count: int, seed: int) -> int:
    """Runs a target so often, and tells how often it crashed."""
    random, taken, crashed = Random(seed), 0, 0
    began_s = shown_s = time.monotonic()
    before_mib = most_memory_mib()
    for number in range(1, count + 1):
        data = target.change(random, target.seeds)
        try:
            taken += target.takes(data)
        except Exception as error:  # noqa: BLE001 - whatever it is, it is a crash
            crashed += 1
            keep(target, data)
            print(f"{target.name}: {type(error).__name__}: {error}", file=sys.stderr)
        if time.monotonic() - shown_s > PROGRESS_S:
            shown_s = time.monotonic()
            print(f"{target.name}: {number} of {count}", file=sys.stderr, flush=True)
    took_s = time.monotonic() - began_s
    grown = most_memory_mib() - before_mib
    print(
        f"{target.name}: {count} inputs, {taken} taken, {count - taken - crashed} "
        f"refused, {crashed} crashes; {count / took_s:.0f} a second, {grown} MiB more",
        flush=True,
    )
    return crashed


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--frames", type=int, default=1_000_000)
    parser.add_argument("--files", type=int, default=100_000)
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args()
    crashed = 0
    plan = [(t, int(arguments.frames * SHARES[t.name])) for t in FRAMES]
    plan += [(target, -(-arguments.files // len(FILES))) for target in FILES]
    for target, count in plan:
        crashed += fuzz(target, count, arguments.seed)
    sys.exit(1 if crashed else 0)


if __name__ == "__main__":
    main()
