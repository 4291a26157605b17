"""A proxy of our own between a device and a relay: slow, in crumbs, or half open."""

from __future__ import annotations

import asyncio
from contextlib import asynccontextmanager
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

if TYPE_CHECKING:
    from collections.abc import AsyncIterator

__all__ = ["Proxy", "proxy_to"]


class Proxy:
    """Carries bytes both ways between whoever connects and one address."""

    def __init__(self, address: str) -> None:
        self.address = ""
        """Where to connect to, as a WebSocket address."""
        self.crumb_bytes = 65_536
        """As many are passed on at a time."""
        self.delay_s = 0.0
        """Each crumb is kept for so long before it is passed on."""
        self._to = urlsplit(address)
        self._flows = asyncio.Event()
        self._flows.set()
        self._carrying: set[asyncio.Task[None]] = set()

    def hold(self) -> None:
        """From now on nothing gets through, and nobody is told."""
        self._flows.clear()

    def release(self) -> None:
        """What was held goes on, and all that follows."""
        self._flows.set()

    async def serve(
        self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter
    ) -> None:
        """Carries one connection."""
        onward = await asyncio.open_connection(self._to.hostname, self._to.port)
        ways = ((reader, onward[1]), (onward[0], writer))
        for way in ways:
            task = asyncio.create_task(self._carry(*way))
            self._carrying.add(task)
            task.add_done_callback(self._carrying.discard)

    async def _carry(
        self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter
    ) -> None:
        try:
            while data := await reader.read(self.crumb_bytes):
                await asyncio.sleep(self.delay_s)
                await self._flows.wait()
                writer.write(data)
                await writer.drain()
        except ConnectionError:
            pass
        finally:
            writer.close()

    async def close(self) -> None:
        """Drops all connections."""
        for task in list(self._carrying):
            task.cancel()
        await asyncio.gather(*self._carrying, return_exceptions=True)


@asynccontextmanager
async def proxy_to(address: str) -> AsyncIterator[Proxy]:
    """A proxy before a relay's address."""
    proxy = Proxy(address)
    server = await asyncio.start_server(proxy.serve, "127.0.0.1", 0)
    host, port = server.sockets[0].getsockname()
    proxy.address = f"ws://{host}:{port}"
    try:
        yield proxy
    finally:
        server.close()
        await proxy.close()
        await server.wait_closed()
