"""Our relay with its stages timed: `tablesync relay` word for word, but slower by it.

    python -m tests.benchmarks.staged_relay --insecure --port 0 --store FILE

On SIGUSR1 it writes what it has spent so far as a line of JSON: the processor time of
the whole process, and of each stage by itself, without that of the stages in it.
"""

from __future__ import annotations

import json
import signal
import sys
import threading
import time
from functools import wraps
from typing import TYPE_CHECKING, Any

from websockets.asyncio.server import ServerConnection

from tablesync import database, rounds, server
from tablesync.cli import main
from tablesync.core.history import History
from tablesync.sync import intake, relay

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["STAGES", "WHOLE"]

WHOLE = "the whole process"
STAGES: dict[str, tuple[tuple[object, str], ...]] = {
    "websockets: frames from the socket's bytes": (
        (ServerConnection, "data_received"),
    ),
    "ours: entries from frames, and their hashes": ((relay, "read_frames"),),
    "Ed25519: verify": ((intake, "is_sealed"), (rounds, "is_sealed")),
    "ours: chain, clocks, place in the order": ((History, "add"),),
    "ours: who is heard, what is to be done": ((relay.RelaySide, "receive"),),
    "ours: frames to send": ((relay, "encode"),),
    "ours: hand on, queue for the disk": (
        (server.Relay, "_settle_all"),
        (server.Relay, "_settle"),
    ),
    "websockets: frames into the socket": ((server, "push"),),
    "SQLite: insert, commit, sync": ((database._Connection, "_carry_out"),),
    "ours: what is acknowledged": (
        (relay.RelayGame, "committed"),
        (server.Relay, "_acknowledge"),
    ),
}
"""Each stage, by whose work it is, and the functions in which it takes place."""


class Stopwatch(threading.local):
    """For each stage that its thread is in, the time of the stages in that one."""

    def __init__(self) -> None:
        self.inner_ns: list[int] = [0]


SPENT_NS = dict.fromkeys(STAGES, 0)
WATCH = Stopwatch()


def _timed(stage: str, work: Callable[..., Any]) -> Callable[..., Any]:
    @wraps(work)
    def timed(*args: Any, **kwargs: Any) -> Any:
        inner_ns = WATCH.inner_ns
        inner_ns.append(0)
        began_ns = time.thread_time_ns()
        try:
            return work(*args, **kwargs)
        finally:
            took_ns = time.thread_time_ns() - began_ns
            SPENT_NS[stage] += took_ns - inner_ns.pop()
            inner_ns[-1] += took_ns

    return timed


def _say(*_: object) -> None:
    print(json.dumps({**SPENT_NS, WHOLE: time.process_time_ns()}), flush=True)


if __name__ == "__main__":
    for stage, places in STAGES.items():
        for owner, name in places:
            setattr(owner, name, _timed(stage, getattr(owner, name)))
    signal.signal(signal.SIGUSR1, _say)
    main(["relay", *sys.argv[1:]])
