"""Plays the real games through a real relay, and scores them.

    python -m tests.benchmarks.bench_plays [--games N] [--profiles calm,usual,hard]

For each profile, without slips and with eight: differences from the official box score,
findings left open, slips found, and the seconds that a game takes.
"""

from __future__ import annotations

import argparse
import asyncio
import json
import statistics
import tempfile
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from itertools import product
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tablesync.play.driver import Play
from tablesync.play.happenings import Entered
from tablesync.play.json_lines import json_line
from tablesync.scenario import read_scenario
from tests.realgames import GAMES, PROFILES, made_scenario, score_findings

if TYPE_CHECKING:
    from tablesync.core.acts import EntryId


@dataclass(frozen=True)
class Run:
    game: str
    profile: str
    slips: int


@dataclass(frozen=True)
class Outcome:
    run: Run
    seconds: float
    entries: int
    still_open: int
    score: dict[str, Any]


async def played(path: Path) -> list[dict[str, Any]]:
    """The JSON lines of a play."""
    labels: dict[EntryId, str] = {}
    lines = []
    async for happening in Play(read_scenario(path)).happenings():
        if isinstance(happening, Entered):
            labels[happening.entry.id] = happening.label
        line = json_line(happening, labels)
        if line is not None:
            lines.append(line)
    return lines


def outcome(run: Run) -> Outcome:
    lines, truth = made_scenario(run.game, run.profile, slips=run.slips)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "game.jsonl"
        path.write_text("".join(json.dumps(line) + "\n" for line in lines))
        began = time.perf_counter()
        told = asyncio.run(played(path))
        seconds = time.perf_counter() - began
    final = told[-1]["final"]
    return Outcome(
        run,
        seconds,
        sum(final["entries"].values()),
        len(final["open_findings"]),
        score_findings().score(truth, told),
    )


def main() -> None:
    parser = argparse.ArgumentParser(description="Real games through a real relay.")
    parser.add_argument("--games", type=int, default=len(GAMES))
    parser.add_argument("--profiles", default=",".join(PROFILES))
    asked = parser.parse_args()
    profiles = asked.profiles.split(",")
    runs = [Run(*choice) for choice in product(GAMES[: asked.games], profiles, (0, 8))]
    with ProcessPoolExecutor(2) as pool:
        outcomes = list(pool.map(outcome, runs))
    print("profile slips games entries box-differences open found s/game slowest")
    for profile, slips in product(profiles, (0, 8)):
        those = [
            o for o in outcomes if (o.run.profile, o.run.slips) == (profile, slips)
        ]
        took = [o.seconds for o in those]
        planted = sum(o.score["planted"] for o in those)
        found = sum(o.score["found"] for o in those)
        print(
            f"{profile:7} {slips:5} {len(those):5} {sum(o.entries for o in those):7} "
            f"{sum(o.score['box_differences'] for o in those):15} "
            f"{sum(o.still_open for o in those):4} {found}/{planted} "
            f"{statistics.median(took):6.2f} {max(took):7.2f}"
        )


if __name__ == "__main__":
    main()
