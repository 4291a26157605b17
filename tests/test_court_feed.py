"""A relay's courts through real sockets: who follows, and who is not hindered by it."""

from __future__ import annotations

import asyncio
import subprocess
import sys
import time
from typing import TYPE_CHECKING

import pytest
from websockets.asyncio.server import serve as listen

from tablesync.clock import MonotonicClock
from tablesync.core.acts import Seat
from tablesync.core.court_state import CourtState, state_of
from tablesync.court_bench import BenchBesides
from tablesync.court_client import CourtSession
from tablesync.errors import RefusedError, UnreachableError
from tablesync.server import Relay, serve
from tablesync.store import Store
from tablesync.sync.codec import encode
from tablesync.sync.courts.codec import encode_courts
from tablesync.sync.courts.gathering import PACE_MS
from tablesync.sync.courts.messages import News, Seen, Watch
from tablesync.sync.messages import PROTOCOL, Durable, Entries, Hello, Refusal, Version
from tests.sync.table import GAME, TIMING
from tests.test_server import (
    BOOK,
    dial,
    hear_all,
    hear_until,
    join,
    notes,
    say,
    sealed,
)

if TYPE_CHECKING:
    from collections.abc import AsyncIterator
    from pathlib import Path

    from websockets.asyncio.server import ServerConnection


@pytest.fixture
async def store(tmp_path: Path) -> AsyncIterator[Store]:
    async with await Store.open(tmp_path / "store.db") as store:
        yield store


@pytest.fixture
async def relay(store: Store) -> AsyncIterator[Relay]:
    async with await serve(store, MonotonicClock(), TIMING, "127.0.0.1", 0) as relay:
        yield relay


async def told(session: CourtSession, entries: int) -> None:
    async with asyncio.timeout(5):
        while (
            GAME not in session.desk.courts
            or session.desk.courts[GAME].written.entries != entries
        ):
            await session.wait_for_news()


@pytest.fixture
async def director(relay: Relay) -> AsyncIterator[CourtSession]:
    session = CourtSession(relay.address, MonotonicClock())
    following = asyncio.create_task(session.keep_following())
    yield session
    following.cancel()
    await asyncio.gather(following, return_exceptions=True)


async def test_director_is_told_of_an_entry_within_a_second(
    relay: Relay, director: CourtSession
) -> None:
    async with dial(relay) as book:
        await join(book)
        await told(director, 0)
        await say(book, sealed(*notes(1)))
        began = time.monotonic()
        await told(director, 1)
        assert time.monotonic() - began < 1.0
        court = director.desk.courts[GAME]
        assert court.scorer.devices == 1
        assert court.written.seat is Seat.BOOK
        assert director.is_connected
        assert director.age_ms is not None
        assert abs(director.relay_ms() - MonotonicClock().now_ms()) < 1_000


async def test_court_stays_in_the_table_when_its_devices_have_gone(
    relay: Relay, director: CourtSession
) -> None:
    async with dial(relay) as book:
        await join(book)
        await say(book, sealed(*notes(2)))
        await told(director, 2)
    async with asyncio.timeout(5):
        while director.desk.courts[GAME].scorer.devices:
            await director.wait_for_news()
    assert state_of(director.desk.courts[GAME]) is CourtState.CUT_OFF
    async with asyncio.timeout(5):
        while relay.games:  # noqa: ASYNC110
            await asyncio.sleep(0.001)
    assert len(relay.courts) == 1


async def test_relay_started_again_tells_of_a_court_as_soon_as_it_is_there_again(
    relay: Relay, store: Store
) -> None:
    async with dial(relay) as book:
        await join(book)
        await say(book, sealed(*notes(3)))
        await hear_until(book, Durable)
    await relay.close()
    async with await serve(store, MonotonicClock(), TIMING, "127.0.0.1", 0) as again:
        session = CourtSession(again.address, MonotonicClock())
        following = asyncio.create_task(session.keep_following())
        async with dial(again) as book:
            await join(book)
            await told(session, 3)
        following.cancel()
        await asyncio.gather(following, return_exceptions=True)


async def test_relay_that_nobody_follows_works_nothing_out_until_somebody_does(
    relay: Relay,
) -> None:
    async with dial(relay) as book:
        await join(book)
        await say(book, sealed(*notes(3)))
        await hear_until(book, Durable)
        await asyncio.sleep(2 * PACE_MS / 1_000)
        assert relay.courts.turns == 1
        session = CourtSession(relay.address, MonotonicClock())
        following = asyncio.create_task(session.keep_following())
        await told(session, 3)
        following.cancel()
        await asyncio.gather(following, return_exceptions=True)


async def test_table_is_whole_again_when_the_process_that_sums_up_has_been_killed(
    relay: Relay,
) -> None:
    one, two, three = notes(3)
    session = CourtSession(relay.address, MonotonicClock())
    following = asyncio.create_task(session.keep_following())
    async with dial(relay) as book:
        await join(book)
        await say(book, sealed(one, two))
        await told(session, 2)
        bench = relay._feed._workbench
        assert isinstance(bench, BenchBesides)
        assert bench._process is not None
        bench._process.kill()
        await say(book, sealed(three))
        await told(session, 3)
    following.cancel()
    await asyncio.gather(following, return_exceptions=True)


async def test_relay_imports_neither_feed_nor_rules_before_there_is_a_game() -> None:
    loaded = await asyncio.to_thread(
        subprocess.run,
        [
            sys.executable,
            "-c",
            "import sys, tablesync.server; print(*sys.modules)",
        ],
        check=True,
        capture_output=True,
        text=True,
    )
    late = {"court_feed", "nearby", "record.file", "rule_file"}
    late = {f"tablesync.{module}" for module in late}
    assert late.isdisjoint(loaded.stdout.split())


async def test_follower_that_sends_entries_is_left_and_nothing_is_taken(
    relay: Relay,
) -> None:
    async with dial(relay) as book, dial(relay) as meddler:
        await join(book)
        await meddler.send(encode_courts(Watch(PROTOCOL)))
        await meddler.recv()
        await say(meddler, sealed(*notes(1)))
        await asyncio.wait_for(meddler.wait_closed(), timeout=5)
        court = relay.courts.court(GAME)
        assert court is not None
        assert court.summary is not None
        assert court.summary.written.entries == 0


async def test_follower_can_not_become_a_seat_of_its_connection(relay: Relay) -> None:
    async with dial(relay) as meddler:
        await meddler.send(encode_courts(Watch(PROTOCOL)))
        await meddler.recv()
        await say(meddler, Hello(PROTOCOL, GAME, BOOK.device, Seat.BOOK, {}))
        await asyncio.wait_for(meddler.wait_closed(), timeout=5)
        assert relay.games == 0


async def test_follower_of_another_version_is_refused(relay: Relay) -> None:
    async with dial(relay) as other:
        await other.send(encode_courts(Watch(Version(PROTOCOL.major + 1, 0))))
        (refusal,) = await hear_all(other)
        assert getattr(refusal, "code", None) == "version"


async def test_director_that_reads_nothing_hinders_no_seat(relay: Relay) -> None:
    """A minute of a busy table, while directors ask for courts and read nothing."""
    entries = notes(400)
    async with dial(relay) as book, dial(relay) as clock:
        await join(book)
        await join(clock, Seat.CLOCK)
        slow = [await dial(relay) for _ in range(5)]
        for one in slow:
            await one.send(encode_courts(Watch(PROTOCOL)))
            one.transport.pause_reading()
        began = time.monotonic()
        for entry in entries:
            await say(book, sealed(entry))
        heard = 0
        while heard < len(entries):
            message = await hear_until(clock, Entries)
            assert isinstance(message, Entries)
            heard += len(message.entries)
        assert time.monotonic() - began < 5.0
        for one in slow:
            one.transport.resume_reading()
            await one.recv()
            await one.send(encode_courts(Seen(1)))
            await asyncio.wait_for(one.recv(), timeout=5)
            await one.close()
        # It has not read its acknowledgements, and would hold the end up.
        book.transport.abort()


async def test_nobody_to_follow_is_said_so() -> None:
    session = CourtSession("ws://127.0.0.1:9", MonotonicClock())
    with pytest.raises(UnreachableError):
        await session.follow()
    assert not session.is_connected


async def test_relay_that_falls_silent_is_called_anew(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("tablesync.court_client.SILENCE_MS", 50)
    calls = 0

    async def tell_once(socket: ServerConnection) -> None:
        nonlocal calls
        calls += 1
        await socket.recv()
        await socket.send(encode_courts(News(1, 5, 0, ())))
        await socket.wait_closed()

    async with listen(tell_once, "127.0.0.1", 0) as silent:
        port = silent.sockets[0].getsockname()[1]
        session = CourtSession(f"ws://127.0.0.1:{port}", MonotonicClock())
        async with asyncio.timeout(5):
            await session.follow()
            assert not session.is_connected
            await session.follow()
    assert calls == 2


async def test_refusal_by_the_relay_ends_the_following(relay: Relay) -> None:
    session = CourtSession(relay.address, MonotonicClock())
    following = asyncio.create_task(session.keep_following())
    await session.wait_for_news()
    session.desk.receive_frame(encode(Refusal("superseded", "another one")), 0)
    with pytest.raises(RefusedError):
        await asyncio.wait_for(following, timeout=5)
