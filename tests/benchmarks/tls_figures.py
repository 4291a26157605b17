"""What TLS costs: a connection, and an entry there and back.

Both ends run in this process, so a figure is what they take together.
"""

from __future__ import annotations

import asyncio
import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING

from websockets.asyncio.server import serve

from tablesync.admission.invitation import RelayAddress
from tablesync.identity import identity_at
from tablesync.pinning import connected
from tests.benchmarks.figures import Figure, Goal
from tests.benchmarks.pairs import BARE_BODY, HOST

if TYPE_CHECKING:
    from websockets.asyncio.server import Server, ServerConnection

__all__ = ["tls"]

CONNECTIONS = 50
ENTRIES = 2_000


async def _echo(socket: ServerConnection) -> None:
    async for frame in socket:
        await socket.send(frame)


async def _costs_s(address: str) -> tuple[float, float]:
    """Processor time of both ends for a connection, and for an entry on one."""
    began = time.process_time()
    for _ in range(CONNECTIONS):
        await (await connected(address)).close()
    each_connection_s = (time.process_time() - began) / CONNECTIONS
    socket = await connected(address)
    began = time.process_time()
    for _ in range(ENTRIES):
        await socket.send(BARE_BODY)
        await socket.recv()
    each_entry_s = (time.process_time() - began) / ENTRIES
    await socket.close()
    return each_connection_s, each_entry_s


def _port(server: Server) -> int:
    return int(server.sockets[0].getsockname()[1])


async def _beside(folder: Path) -> tuple[tuple[float, float], tuple[float, float]]:
    identity = identity_at(folder / "identity")
    plain = serve(_echo, HOST, 0, compression=None)
    hidden = serve(_echo, HOST, 0, compression=None, ssl=identity.context)
    async with plain as bare, hidden as guarded:
        address = RelayAddress(HOST, _port(guarded), identity.certificate)
        ours = await _costs_s(str(address))
        return ours, await _costs_s(f"ws://{HOST}:{_port(bare)}")


def tls(rounds: int) -> list[Figure]:
    """As a relay behind its gate and its devices speak, beside the same without."""
    connection = Figure(
        "a connection by TLS, both ends", "ms", "the same without", Goal.AT_MOST, 4
    )
    entry = Figure(
        "an entry by TLS there and back, both ends",
        "µs",
        "the same without",
        Goal.AT_MOST,
        2,
    )
    for _ in range(rounds):
        with tempfile.TemporaryDirectory() as folder:
            ours, bare = asyncio.run(_beside(Path(folder)))
        connection.note(ours[0] * 1e3, bare[0] * 1e3)
        entry.note(ours[1] * 1e6, bare[1] * 1e6)
    return [connection, entry]
