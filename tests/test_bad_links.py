"""Devices and a relay with a proxy between them that is no good."""

from __future__ import annotations

from contextlib import asynccontextmanager
from functools import partial
from typing import TYPE_CHECKING

from tablesync.core.acts import Note
from tablesync.errors import SilenceError
from tablesync.sync.timing import Timing
from tests.proxy import proxy_to
from tests.test_client import CLOCK, Hall, is_quiet, is_seen, met

if TYPE_CHECKING:
    from collections.abc import AsyncIterator
    from pathlib import Path

    from tablesync.client import DeviceSession
    from tests.proxy import Proxy


@asynccontextmanager
async def _beside_a_proxy(
    tmp_path: Path,
) -> AsyncIterator[tuple[Proxy, DeviceSession, DeviceSession]]:
    """A proxy, a book that is to be linked through it, and a clock linked well."""
    hall = Hall(tmp_path)
    async with (
        hall.relay() as relay,
        proxy_to(relay.address) as proxy,
        await hall.device(0) as book,
        await hall.device(1) as clock,
    ):
        await clock.connect(relay.address)
        yield proxy, book, clock


async def test_frames_that_come_in_crumbs_are_put_together(tmp_path: Path) -> None:
    async with _beside_a_proxy(tmp_path) as (proxy, book, clock):
        proxy.crumb_bytes = 3
        await book.connect(proxy.address)
        for number in range(10):
            await book.enter(Note(f"in crumbs, {number}"))
        await met(clock, 10)
        await met(book, 10)
        assert book.unacknowledged == 0


async def test_slow_link_loses_nothing_and_holds_nobody_up(tmp_path: Path) -> None:
    async with _beside_a_proxy(tmp_path) as (proxy, book, clock):
        await book.connect(proxy.address)
        proxy.delay_s = 0.2
        for number in range(10):
            await book.enter(Note(f"slowly, {number}"))
        # What is entered counts at once, whenever the relay hears of it.
        assert len(book.game.history) == book.unacknowledged == 10
        await met(clock, 10)
        await book.wait_for(lambda: book.unacknowledged == 0)


async def test_half_open_link_is_given_up_by_both_ends_and_nothing_is_lost(
    tmp_path: Path,
) -> None:
    hall = Hall(tmp_path, Timing())
    async with (
        hall.relay() as relay,
        proxy_to(relay.address) as proxy,
        await hall.device(0) as book,
        await hall.device(1) as clock,
    ):
        await book.connect(relay.address)
        await clock.connect(proxy.address)
        for session in (book, clock):
            await session.wait_for(partial(is_quiet, session))
        await book.wait_for(lambda: is_seen(book, CLOCK.device))
        proxy.hold()
        await clock.enter(Note("nobody hears it"))
        hall.clock.advance_to(2_000)
        await book.wait_for(lambda: book.relay_heard_ms == 2_000 and book.is_quiet)
        hall.clock.advance_to(3_500)
        await book.wait_for(lambda: not is_seen(book, CLOCK.device))
        await clock.wait_for(lambda: not clock.is_linked)
        assert isinstance(clock.trouble, SilenceError)
        proxy.release()
        await clock.connect(relay.address)
        await met(clock, 1)
        await met(book, 1)
        assert clock.unacknowledged == 0
