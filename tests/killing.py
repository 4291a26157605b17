"""Kills the process it is in at a fault point, without warning."""

from __future__ import annotations

import os
import signal
from typing import TYPE_CHECKING

from tablesync.fault_points import FaultPoint

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["killing_at"]


def killing_at(point: str, count: int) -> Callable[[FaultPoint], None]:
    """What to arm: ends the process when the point is reached for that time."""
    where = FaultPoint(point)
    left = count

    def happen(reached: FaultPoint) -> None:
        nonlocal left
        left -= reached is where
        if left <= 0:
            os.kill(os.getpid(), signal.SIGKILL)

    return happen
