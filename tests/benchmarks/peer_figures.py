"""Throughput beside what somebody would otherwise use, servers for any kind of message.

They are no part of the project: `../shared/anchors` has programs that put the same load
on them, and the environment variable `PEERS_PYTHON` names the Python that has the peers
installed. Where either is absent this says so and measures nothing.
"""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import dataclass
from typing import TYPE_CHECKING

from tests.benchmarks.figures import Figure, Goal
from tests.benchmarks.link_figures import LOADS, most_of_ours
from tests.benchmarks.servers import ANCHORS

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["peers"]

PYTHON = "PEERS_PYTHON"
PAIRS = (50, 200)
SECONDS = 2
RATE = "max events/s"


@dataclass(frozen=True, slots=True)
class Peer:
    """A server beside which ours is measured."""

    program: str
    """The anchors' program that loads it."""
    row: str
    """What the first column of its table says of the kind that does our work."""


PEERS = (
    Peer("peer_nats.py", "JetStream file, sync always"),
    Peer("peer_yjs.py", "pycrdt-websocket + SQLiteYStore"),
)


def peers(rounds: int) -> Iterator[Figure]:
    """Ours and each peer in turn, both ends of all pairs in one process."""
    python = os.environ.get(PYTHON)
    if python is None or not ANCHORS.is_dir():
        print(f"No peers: {ANCHORS} and {PYTHON} are not both there.", file=sys.stderr)
        return
    for pairs in PAIRS:
        figures = {
            peer: Figure(
                f"throughput, {pairs} pairs, {LOADS[pairs][1]} under way each",
                "entries/s",
                peer.row,
                Goal.AT_LEAST,
                2,
            )
            for peer in PEERS
        }
        for _ in range(rounds):
            ours = most_of_ours(pairs)
            for peer, figure in figures.items():
                figure.note(ours, _peers_rate(python, peer, pairs))
        yield from figures.values()


def _peers_rate(python: str, peer: Peer, pairs: int) -> float:
    """Events a second that a peer stores and passes on."""
    command = [python, str(ANCHORS / peer.program), "--runs", "1"]
    options = ["--seconds", str(SECONDS), "--pairs", str(pairs)]
    ran = subprocess.run(
        [*command, *options], check=True, capture_output=True, text=True
    )
    rows = [
        [cell.strip() for cell in line.strip("|").split("|")]
        for line in ran.stdout.splitlines()
        if line.startswith("|")
    ]
    column = next(row.index(RATE) for row in rows if RATE in row)
    rate = next(row[column] for row in rows if row[0] == peer.row)
    return float(rate.split()[0].replace(",", ""))
