"""A relay as a process of its own, which is killed where its test says.

    python -m tests.relay_process PORT STORE [POINT COUNT]

It kills itself when it comes to the fault point for the COUNTth time, if one is given.
"""

from __future__ import annotations

import sys
from contextlib import nullcontext
from pathlib import Path

from tablesync.fault_points import armed
from tablesync.server import run_relay
from tests.killing import killing_at

__all__: list[str] = []

if __name__ == "__main__":
    port, store, *trap = sys.argv[1:]
    with armed(killing_at(trap[0], int(trap[1]))) if trap else nullcontext():
        run_relay("127.0.0.1", int(port), Path(store))
