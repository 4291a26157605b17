"""Plays real games over a link that loses, repeats and mixes up its frames.

    python -m tests.benchmarks.bench_lossy_games [--games N] [--slips N]

Book and findings must be those of the same game over a clean link.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

from tests.realgames import GAMES
from tests.recording import real_scenario
from tests.simulation.lossy import CLEAN, LOSSY, play_over

if TYPE_CHECKING:
    from tablesync.simulation.faults import Fault


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--games", type=int, default=len(GAMES))
    parser.add_argument("--slips", type=int, default=6)
    arguments = parser.parse_args()
    toll: Counter[Fault] = Counter()
    differ = entries = findings = others = 0
    with tempfile.TemporaryDirectory() as folder:
        for name in GAMES[: arguments.games]:
            began_s = time.monotonic()
            scenario = real_scenario(name, Path(folder), arguments.slips)
            clean = play_over(CLEAN, scenario, 1)
            lossy = play_over(LOSSY, scenario, 1)
            is_same = lossy.kept == clean.kept and lossy.found == clean.found
            is_same &= clean.is_same_everywhere and lossy.is_same_everywhere
            differ += not is_same
            others += len(clean.raised ^ lossy.raised) // 2
            toll += lossy.toll
            entries += len(scenario.steps)
            findings += len(lossy.raised)
            print(
                f"{name}: {'same' if is_same else 'DIFFERENT'}, "
                f"{len(clean.found)} and {len(lossy.found)} findings, "
                f"{time.monotonic() - began_s:.0f} s",
                flush=True,
            )
    print(f"{entries} entries, {findings} findings, {differ} games differ")
    print(f"{others} findings name another of two entries of the same side and kind")
    for fault, count in sorted(toll.items()):
        print(f"{count:>9} {fault}")
    sys.exit(1 if differ else 0)


if __name__ == "__main__":
    main()
