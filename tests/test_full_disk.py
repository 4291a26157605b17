"""A relay whose disk is full: it stops, says so, and nothing acknowledged is lost."""

from __future__ import annotations

import asyncio
import resource
import sys
from functools import partial
from typing import TYPE_CHECKING

import pytest

from tablesync.core.acts import Note, Seat
from tablesync.store import Store
from tablesync.sync.intake import Archive
from tests.sync.table import GAME
from tests.test_processes import free_port, is_linked, seated

if TYPE_CHECKING:
    from pathlib import Path

pytestmark = pytest.mark.processes

ROOM_BYTES = 400_000
"""No file of the relay can be larger."""


async def start_relay_with_little_room(
    port: int, store: Path
) -> asyncio.subprocess.Process:
    limit = partial(resource.setrlimit, resource.RLIMIT_FSIZE, (ROOM_BYTES, ROOM_BYTES))
    relay = await asyncio.create_subprocess_exec(
        sys.executable,
        "-m",
        "tests.relay_process",
        str(port),
        str(store),
        stderr=asyncio.subprocess.PIPE,
        preexec_fn=limit,
    )
    assert relay.stderr is not None
    assert b"listens at" in await relay.stderr.readline()
    return relay


async def test_relay_that_runs_out_of_disk_stops_with_all_it_acknowledged(
    tmp_path: Path,
) -> None:
    port, path = free_port(), tmp_path / "relay.db"
    relay = await start_relay_with_little_room(port, path)
    async with seated(tmp_path, Seat.BOOK, f"ws://127.0.0.1:{port}") as book:
        await book.wait_for(partial(is_linked, book))
        safe = 0
        while relay.returncode is None:
            await book.enter(Note("x" * 300))
            safe = len(book.game.history) - book.unacknowledged
        _, said = await relay.communicate()
        assert relay.returncode != 0
        assert b"the store can't be written" in said
        kept = Archive(GAME)
        async with await Store.open(path) as store:
            await store.read_into(GAME, kept)
        own = list(book.game.history)
        assert 0 < safe < len(own)
        assert {e.digest for e in own[:safe]} <= {e.digest for e in kept.history}
        # Nothing entered is lost either: the device has it all.
        assert book.unacknowledged == len(own) - safe
