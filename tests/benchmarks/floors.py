"""Servers that do no more than a relay must at the least: yardsticks, not products.

    python -m tests.benchmarks.floors forward
    python -m tests.benchmarks.floors durable FOLDER
    python -m tests.benchmarks.floors batch FOLDER

Whoever connects to `/GAME/…` gets what the others there send; the sender gets back the
first bytes of it. `forward` keeps nothing. `durable` commits every message to SQLite,
synced, before anybody hears of it, together with all that has come meanwhile. `batch`
reads 600 messages from SQLite and sends them in one. None of them looks at what it
carries: no signature is verified, no order kept.
"""

from __future__ import annotations

import argparse
import asyncio
import os
import sqlite3
import sys
from collections import defaultdict
from pathlib import Path
from typing import TYPE_CHECKING, TypeAlias

import msgpack
import uvloop
from websockets.asyncio.server import ServerConnection, broadcast, serve
from websockets.exceptions import ConnectionClosed

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["HEADER_BYTES", "durable_connection"]

HEADER_BYTES = 14
"""What a sender gets back of its message."""
Arrived: TypeAlias = tuple[set[ServerConnection], ServerConnection, bytes]


def durable_connection(path: Path) -> sqlite3.Connection:
    """A database as durable as a relay's store, with the simplest table."""
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("PRAGMA journal_mode = WAL")
    connection.execute("PRAGMA synchronous = FULL")
    connection.execute("CREATE TABLE message (taken INTEGER PRIMARY KEY, body BLOB)")
    return connection


def hand_on(arrived: Arrived) -> None:
    room, source, message = arrived
    broadcast([other for other in room if other is not source], message)
    broadcast([source], message[:HEADER_BYTES])


class Committer:
    """Commits what has come since the last turn of the loop, then hands it on."""

    def __init__(self, path: Path) -> None:
        self._connection = durable_connection(path)
        self._waiting: list[Arrived] = []

    def take(self, arrived: Arrived) -> None:
        self._waiting.append(arrived)
        if len(self._waiting) == 1:
            asyncio.get_running_loop().call_soon(self._commit)

    def _commit(self) -> None:
        waiting, self._waiting = self._waiting, []
        insert = "INSERT INTO message (body) VALUES (?)"
        self._connection.execute("BEGIN IMMEDIATE")
        self._connection.executemany(insert, [(message,) for _, _, message in waiting])
        self._connection.execute("COMMIT")
        for arrived in waiting:
            hand_on(arrived)


class Librarian:
    """Sends all that it has to whoever says anything."""

    def __init__(self, path: Path) -> None:
        self._connection = durable_connection(path)
        insert = "INSERT INTO message (body) VALUES (?)"
        self._connection.executemany(insert, [(os.urandom(250),) for _ in range(600)])

    def answer(self, arrived: Arrived) -> None:
        rows = self._connection.execute("SELECT body FROM message ORDER BY taken")
        broadcast([arrived[1]], msgpack.packb([row[0] for row in rows]))


async def stand(take: Callable[[Arrived], None]) -> None:
    rooms: defaultdict[str, set[ServerConnection]] = defaultdict(set)

    async def converse(socket: ServerConnection) -> None:
        assert socket.request is not None
        room = rooms[socket.request.path.split("/")[1]]
        room.add(socket)
        try:
            async for message in socket:
                assert isinstance(message, bytes)
                take((room, socket, message))
        except ConnectionClosed:
            pass
        finally:
            room.discard(socket)

    async with serve(converse, "127.0.0.1", 0, compression=None) as server:
        print("PORT", server.sockets[0].getsockname()[1], flush=True)
        await asyncio.get_running_loop().run_in_executor(None, sys.stdin.read)


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("kind", choices=["forward", "durable", "batch"])
    parser.add_argument("folder", nargs="?", type=Path)
    asked = parser.parse_args()
    match asked.kind:
        case "durable":
            take = Committer(asked.folder / "floor.db").take
        case "batch":
            take = Librarian(asked.folder / "floor.db").answer
        case _:
            take = hand_on
    # The loop that the relay has too.
    uvloop.run(stand(take))


if __name__ == "__main__":
    main()
