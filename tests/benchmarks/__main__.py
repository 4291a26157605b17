"""All figures beside their limits, in one run of some minutes.

    python -m tests.benchmarks [--rounds N] [--only NAME,…] [--json]

Ours and its limit are measured one right after the other, round by round, and judged by
the median of the rounds' ratios: absolute figures of a shared machine mean little. The
servers are processes of their own. Where the folder `../shared/anchors` is there, its
bare durable relay is measured too, and with `PEERS_PYTHON` the peers; where it is not,
that is said.
"""

from __future__ import annotations

import argparse
import json
import sys
from typing import TYPE_CHECKING

from tests.benchmarks.court_figures import courts
from tests.benchmarks.entry_figures import costs
from tests.benchmarks.figures import Figure, line, table
from tests.benchmarks.holder_figures import catch_up, memory
from tests.benchmarks.link_figures import latency, throughput
from tests.benchmarks.peer_figures import peers
from tests.benchmarks.servers import ANCHORS
from tests.benchmarks.session_figures import sessions
from tests.benchmarks.start_figures import starts, windows
from tests.benchmarks.tls_figures import tls

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

SUITES: dict[str, Callable[[int], Iterable[Figure]]] = {
    "throughput": throughput,
    "peers": peers,
    "latency": latency,
    "sessions": sessions,
    "courts": courts,
    "catch-up": catch_up,
    "memory": memory,
    "costs": costs,
    "starts": starts,
    "windows": windows,
    "tls": tls,
}


def main() -> None:
    parser = argparse.ArgumentParser(description="Our figures beside their limits.")
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--only", default=",".join(SUITES))
    parser.add_argument("--json", action="store_true")
    asked = parser.parse_args()
    if not ANCHORS.is_dir():
        print(f"{ANCHORS} is absent: its floor is left out.", file=sys.stderr)
    figures = []
    for name in asked.only.split(","):
        print(f"{name} …", file=sys.stderr, flush=True)
        for figure in SUITES[name](asked.rounds):
            figures.append(figure)
            print(line(figure), file=sys.stderr, flush=True)
    if asked.json:
        print(json.dumps([figure.as_json() for figure in figures], indent=1))
    else:
        print(table(figures))


if __name__ == "__main__":
    main()
