"""Relay and device, each killed at every fault point, as real processes."""

from __future__ import annotations

from random import Random
from typing import TYPE_CHECKING

import pytest

from tablesync.fault_points import AT_ENTRIES, FaultPoint
from tests.benchmarks.bench_kills import Loss, Trap, kill_devices, kill_relays

if TYPE_CHECKING:
    from pathlib import Path

pytestmark = pytest.mark.processes

TIMES = (1, 9)
"""Once at the first time that the point is reached, once in the middle of play."""


def traps(point: FaultPoint) -> list[Trap]:
    return [Trap(point, count) for count in TIMES]


@pytest.mark.parametrize("point", AT_ENTRIES)
async def test_relay_killed_there_loses_nothing_that_it_acknowledged(
    point: FaultPoint, tmp_path: Path
) -> None:
    loss = Loss()
    await kill_relays(traps(point), tmp_path, Random(1), loss)
    _require_nothing_lost(loss, point)


@pytest.mark.parametrize("point", AT_ENTRIES)
async def test_device_killed_there_loses_nothing_that_was_entered(
    point: FaultPoint, tmp_path: Path
) -> None:
    loss = Loss()
    await kill_devices(traps(point), tmp_path, Random(1), loss)
    _require_nothing_lost(loss, point)


def _require_nothing_lost(loss: Loss, point: FaultPoint) -> None:
    assert loss.kills == {point: len(TIMES)}
    assert loss.entries > 0
    assert (loss.lost, loss.forks) == (0, 0)
