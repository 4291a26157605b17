"""Gives every reader much wrong input, and keeps what it crashes on.

    python -m tests.benchmarks.bench_fuzz [--frames N] [--files N] [--seed S]
    python -m tests.benchmarks.bench_fuzz --guided TARGET [--runs N]

The second form is guided by coverage; it needs the package `atheris`, which the tests
do without. What a reader crashes on is kept in `tests/fuzz/crashers` and is a test from
then on.
"""

from __future__ import annotations

import argparse
import hashlib
import resource
import sys
import time
from importlib import import_module
from random import Random

from tests.fuzz.targets import CRASHERS, FILES, FRAMES, Target

TARGETS = {target.name: target for target in (*FRAMES, *FILES)}
PROGRESS_S = 10.0


def keep(target: Target, data: bytes) -> None:
    """Keeps what the target crashed on."""
    folder = CRASHERS / target.name
    folder.mkdir(parents=True, exist_ok=True)
    (folder / hashlib.sha256(data).hexdigest()[:16]).write_bytes(data)


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


def guided(target: Target, runs: int) -> None:
    """Lets coverage lead from the seeds to new input."""
    atheris = import_module("atheris")
    atheris.instrument_all()

    def once(data: bytes) -> None:
        try:
            target.takes(data)
        except Exception:
            keep(target, data)
            raise

    corpus = CRASHERS.parent / "corpus" / target.name
    corpus.mkdir(parents=True, exist_ok=True)
    for number, seed in enumerate(target.seeds):
        (corpus / f"seed-{number}").write_bytes(seed)
    options = [sys.argv[0], f"-atheris_runs={runs}", "-max_len=8192", str(corpus)]
    atheris.Setup(options, once)
    atheris.Fuzz()


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--frames", type=int, default=1_000_000)
    parser.add_argument("--files", type=int, default=100_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--guided", choices=sorted(TARGETS))
    parser.add_argument("--runs", type=int, default=100_000)
    arguments = parser.parse_args()
    if arguments.guided:
        guided(TARGETS[arguments.guided], arguments.runs)
        return
    crashed = 0
    codec, relay = FRAMES
    # The relay looks at signatures too, which takes it thirty times as long.
    plan = [(codec, arguments.frames * 9 // 10), (relay, arguments.frames // 10)]
    plan += [(target, arguments.files // len(FILES)) for target in FILES]
    for target, count in plan:
        crashed += fuzz(target, count, arguments.seed)
    sys.exit(1 if crashed else 0)


if __name__ == "__main__":
    main()
