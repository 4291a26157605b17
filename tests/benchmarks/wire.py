"""A WebSocket client as cheap as can be, so that the load is never the limit.

It knows just what the benchmarks need (RFC 6455): binary messages in one frame, pings,
and the all-zero mask, with which masking is no work.
"""

from __future__ import annotations

import asyncio
import base64
import os
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

__all__ = ["Line", "dial"]

PING = 0x9
BINARY = 0x82
PONG = 0x8A
NO_MASK = bytes(4)


class Line(asyncio.Protocol):
    """One connection; `on_message` is called with each message that comes."""

    def __init__(self, host: str, path: str) -> None:
        self.on_message: Callable[[bytes], object] = lambda _message: None
        self.opened: asyncio.Future[None] = asyncio.get_running_loop().create_future()
        self._host = host
        self._path = path
        self._unread = b""

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        assert isinstance(transport, asyncio.Transport)
        self._transport = transport
        key = base64.b64encode(os.urandom(16)).decode()
        lines = (
            f"GET {self._path} HTTP/1.1",
            f"Host: {self._host}",
            "Upgrade: websocket",
            "Connection: Upgrade",
            f"Sec-WebSocket-Key: {key}",
            "Sec-WebSocket-Version: 13",
            "",
            "",
        )
        transport.write("\r\n".join(lines).encode())

    def connection_lost(self, error: Exception | None) -> None:
        if not self.opened.done():
            self.opened.set_exception(error or ConnectionError("turned away"))

    def data_received(self, data: bytes) -> None:
        unread = self._unread + data if self._unread else data
        if not self.opened.done():
            head, end, rest = unread.partition(b"\r\n\r\n")
            if not end:
                self._unread = unread
                return
            if b" 101 " not in head.partition(b"\r\n")[0]:
                self.opened.set_exception(ConnectionError(head.decode()))
                return
            self.opened.set_result(None)
            unread = rest
        self._unread = unread[self._read(unread) :]

    def _read(self, data: bytes) -> int:
        """Hands on the whole messages in `data`, and says where the next begins."""
        at, size = 0, len(data)
        while size - at >= 2:
            length, head = data[at + 1], 2
            if length == 126:
                length, head = int.from_bytes(data[at + 2 : at + 4], "big"), 4
            elif length == 127:
                length, head = int.from_bytes(data[at + 2 : at + 10], "big"), 10
            end = at + head + length
            if end > size:
                break
            match data[at] & 15:
                case 1 | 2:
                    self.on_message(data[at + head : end])
                case 9:
                    self._transport.write(_frame(PONG, data[at + head : end]))
                case _:
                    pass
            at = end
        return at

    def send(self, messages: Iterable[bytes]) -> None:
        """Sends messages."""
        self._transport.write(b"".join(_frame(BINARY, m) for m in messages))

    def hang_up(self) -> None:
        """Ends the connection at once."""
        self._transport.abort()


def _frame(first: int, payload: bytes) -> bytes:
    size = len(payload)
    if size < 126:
        head = bytes((first, 0x80 | size))
    elif size < 1 << 16:
        head = bytes((first, 0x80 | 126)) + size.to_bytes(2, "big")
    else:
        head = bytes((first, 0x80 | 127)) + size.to_bytes(8, "big")
    return head + NO_MASK + payload


async def dial(host: str, port: int, path: str = "/") -> Line:
    """A connection that is open."""
    loop = asyncio.get_running_loop()
    _, line = await loop.create_connection(lambda: Line(host, path), host, port)
    await asyncio.wait_for(line.opened, 20)
    return line
