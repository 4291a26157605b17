"""Where a window's start goes: each stage, beside a window of Kivy alone.

    python -m tests.benchmarks.bench_window [--rounds N]

Milliseconds, medians of the rounds. What our modules take to be imported, and those of
the libraries that Kivy alone does not need, is counted apart, by `-X importtime`: it is
part of the stages, and that way of counting adds a little to it.
"""

from __future__ import annotations

import argparse
import os
import re
import statistics
import subprocess
import sys
import tempfile
import time
from typing import TYPE_CHECKING

from tests.benchmarks.start_figures import compile_ours, moments_s
from tests.benchmarks.window_start import (
    BEGAN,
    DRAWN,
    FIRST_FRAME,
    OPEN,
    SET_UP,
    SHOWN,
    UP,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

STAGES = {
    "Python, and what the benchmark needs": UP,
    "the command line and the game sheet": SET_UP,
    "Kivy and its window": OPEN,
    "the journal, the session and what shows them": SHOWN,
    "building, placing and drawing the frame": DRAWN,
    "until the frame stands": FIRST_FRAME,
}
"""Each stage and the moment with which it ends."""
KINDS = ("bare", "seat")
OURS = ("tablesync", "mobile")
IMPORTED = re.compile(r"import time:\s+(\d+) \|\s+\d+ \|\s+(\S+)")


def stages_ms(kind: str) -> list[float]:
    """What each stage took in one start, and the whole last."""
    moments = moments_s(kind)
    ends = [moments[moment] * 1e3 for moment in STAGES.values()]
    begins = [0.0, *ends[:-1]]
    return [*(end - begin for begin, end in zip(begins, ends, strict=True)), ends[-1]]


def imports_us(kind: str) -> dict[str, int]:
    """What each module took to be imported in one start, without those within."""
    with tempfile.TemporaryDirectory() as home:
        told = {"TABLESYNC_HOME": home, BEGAN: repr(time.time())}
        module = "tests.benchmarks.window_start"
        ran = subprocess.run(
            [sys.executable, "-X", "importtime", "-m", module, kind],
            check=True,
            capture_output=True,
            text=True,
            env={**os.environ, **told},
        )
    return {name: int(us) for us, name in IMPORTED.findall(ran.stderr)}


def imported_ms() -> tuple[int, float, float]:
    """How many modules of ours a seat imports; what they take, and what others take."""
    alone, seat = map(imports_us, KINDS)
    more = {name: us for name, us in seat.items() if name not in alone}
    ours = {name: us for name, us in more.items() if name.startswith(OURS)}
    ours_us = sum(ours.values())
    return len(ours), ours_us / 1e3, (sum(more.values()) - ours_us) / 1e3


def row(name: str, alone: float, seat: float) -> str:
    return f"| {name} | {alone:.0f} | {seat:.0f} | {seat - alone:+.0f} |"


def medians(rounds: Sequence[Sequence[float]]) -> list[float]:
    return [statistics.median(values) for values in zip(*rounds, strict=True)]


def main() -> None:
    parser = argparse.ArgumentParser(description="Where a window's start goes.")
    parser.add_argument("--rounds", type=int, default=9)
    rounds = range(parser.parse_args().rounds)
    compile_ours()
    taken = [[stages_ms(kind) for kind in KINDS] for _ in rounds]
    alone, seat = (medians(of_kind) for of_kind in zip(*taken, strict=True))
    print("| stage, ms | Kivy alone | a seat's window | more |")
    print("| --- | ---: | ---: | ---: |")
    for name, *values in zip((*STAGES, "the whole"), alone, seat, strict=True):
        print(row(name, *values))
    print(f"the whole, beside Kivy alone: {seat[-1] / alone[-1]:.2f}")
    count, ours, others = medians([imported_ms() for _ in rounds])
    print(
        f"imports: {ours:.0f} ms for {count:.0f} modules of ours, {others:.0f} ms for "
        "those of libraries that Kivy alone does not need"
    )


if __name__ == "__main__":
    main()
