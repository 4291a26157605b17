"""A relay as a process of its own, which is killed where its test says.

    python -m tests.relay_process PORT STORE POINT COUNT

It kills itself when it comes to the point for the COUNTth time.
"""

from __future__ import annotations

import sys
from pathlib import Path

from tablesync.fault_points import armed
from tablesync.server import run_relay
from tests.killing import killing_at

__all__: list[str] = []

if __name__ == "__main__":
    port, store, point, count = sys.argv[1:]
    with armed(killing_at(point, int(count))):
        run_relay("127.0.0.1", int(port), Path(store))
