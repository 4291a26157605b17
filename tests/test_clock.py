"""Clocks that wait: the machine's, and one that is moved by hand."""

from __future__ import annotations

import asyncio
import time

import pytest

from tablesync.clock import MonotonicClock, VirtualClock


def test_machines_clock_starts_at_the_walls_time() -> None:
    assert abs(MonotonicClock().now_ms() - time.time() * 1_000) < 1_000


async def test_machines_clock_waits_until_the_time() -> None:
    clock = MonotonicClock()
    until_ms = clock.now_ms() + 20
    await clock.sleep_until(until_ms)
    assert clock.now_ms() >= until_ms


async def test_time_that_has_passed_is_not_waited_for() -> None:
    for clock in (MonotonicClock(), VirtualClock(5_000)):
        await asyncio.wait_for(clock.sleep_until(1_000), timeout=1)


async def test_sleepers_wake_in_order_of_their_times_and_see_the_new_one() -> None:
    clock = VirtualClock(1_000)
    woken: list[tuple[str, int]] = []

    async def sleep(name: str, until_ms: int) -> None:
        await clock.sleep_until(until_ms)
        woken.append((name, clock.now_ms()))

    sleepers = [
        asyncio.create_task(sleep(name, until_ms))
        for name, until_ms in (("late", 3_000), ("early", 2_000), ("never", 9_000))
    ]
    await asyncio.sleep(0)
    clock.advance_to(5_000)
    await asyncio.gather(*sleepers[:2])
    assert woken == [("early", 5_000), ("late", 5_000)]
    sleepers[2].cancel()


async def test_sleeper_that_was_cancelled_is_passed_over() -> None:
    clock = VirtualClock()
    sleeper = asyncio.create_task(clock.sleep_until(1_000))
    await asyncio.sleep(0)
    sleeper.cancel()
    await asyncio.gather(sleeper, return_exceptions=True)
    clock.advance_to(2_000)
    assert clock.now_ms() == 2_000


def test_clock_is_never_moved_back() -> None:
    clock = VirtualClock(1_000)
    with pytest.raises(AssertionError, match="a clock is never moved back"):
        clock.advance_to(999)
