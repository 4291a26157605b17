"""Plays real games over a link that loses, repeats and mixes up its frames.

    python -m tests.benchmarks.bench_lossy_games [--from GAME] [--games N] [--slips N]

Given the same table times, book and findings must be those of the same game over a
clean link, and to the byte those that the same entries give to somebody whom no link
hinders. Table time is estimated, and over such a link it is a little wrong: it is told
by how much, and how many games find something else when the officials enter at the same
true times over a clean link.
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
from tests.simulation.lossy import CLEAN, LOSSY, play_over, retimed

if TYPE_CHECKING:
    from tablesync.simulation.faults import Fault


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--games", type=int, default=len(GAMES))
    parser.add_argument("--slips", type=int, default=6)
    parser.add_argument("--from", dest="first", default=GAMES[0])
    arguments = parser.parse_args()
    toll: Counter[Fault] = Counter()
    differ = hang = entries = findings = others = astray_ms = 0
    with tempfile.TemporaryDirectory() as folder:
        first = GAMES.index(arguments.first)
        for name in GAMES[first : first + arguments.games]:
            began_s = time.monotonic()
            scenario = real_scenario(name, Path(folder), arguments.slips)
            lossy = play_over(LOSSY, scenario, 1)
            clean = play_over(CLEAN, retimed(scenario, lossy.times_ms), 1)
            by_true_time = play_over(CLEAN, scenario, 1)
            hang += by_true_time.found != lossy.found
            is_same = lossy.kept == clean.kept and lossy.found == clean.found
            is_same &= lossy.times_ms == clean.times_ms
            is_same &= clean.is_same_everywhere and lossy.is_same_everywhere
            is_same &= clean.is_same_unhindered and lossy.is_same_unhindered
            astray_ms = max(astray_ms, lossy.astray_ms)
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
    print(f"the table time of an entry is wrong by {astray_ms} ms at most")
    print(f"{hang} games find something else for that")
    print(f"{others} findings name another of two entries of the same side and kind")
    for fault, count in sorted(toll.items()):
        print(f"{count:>9} {fault}")
    sys.exit(1 if differ else 0)


if __name__ == "__main__":
    main()
