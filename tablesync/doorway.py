"""The socket at which a relay listens, which turns away who is too many.

The library would shake hands with anybody, and hold what that takes. So they are
cut off as soon as the system has taken the call, and without a word.
"""

from __future__ import annotations

import asyncio
import logging
import socket
import struct
from contextlib import suppress
from typing import TYPE_CHECKING, Any

from tablesync.admission.crowd import Caller
from tablesync.errors import BadInputError
from tablesync.sparing import Sparing

if TYPE_CHECKING:
    from tablesync.admission.crowd import Crowd

__all__ = ["caller_of", "listening_socket"]

log = logging.getLogger(__name__)
log.addFilter(Sparing())

MOST_AT_ONCE = 64
"""Who is turned away in a row before the relay looks after the others again."""
_AT_ONCE = struct.pack("ii", 1, 0)
"""Closing says so at once, and leaves nothing behind in the system."""


class _Call(socket.socket):
    """A connection that tells the crowd when it has ended."""

    crowd: Crowd
    caller: Caller
    calls: dict[Caller, _Call]

    def close(self) -> None:
        """Ends the connection."""
        is_over = self.calls.pop(self.caller, None) is not None
        if is_over and self.crowd.leave(self.caller):
            what = "left, or had to, without getting as far as a greeting"
            log.warning("%s: %s", self.caller, what)
        super().close()

    def hang_up(self) -> None:
        """Ends the connection for both ends; whoever reads from it finds that out."""
        with suppress(OSError):
            self.shutdown(socket.SHUT_RDWR)


class _Doorway(socket.socket):
    """A listening socket with a crowd behind it."""

    crowd: Crowd
    calls: dict[Caller, _Call]

    def accept(self) -> tuple[socket.socket, Any]:
        """The next connection that may come in."""
        for _ in range(MOST_AT_ONCE):
            connection, address = super().accept()
            caller = caller_of(address)
            if not self.crowd.may_come(caller.host):
                linger = (socket.SOL_SOCKET, socket.SO_LINGER, _AT_ONCE)
                with suppress(OSError):
                    connection.setsockopt(*linger)
                connection.close()
                continue
            return self._taken(connection, caller), address
        raise BlockingIOError

    def _taken(self, connection: socket.socket, caller: Caller) -> _Call:
        call = _Call(fileno=connection.detach())
        call.crowd, call.caller, call.calls = self.crowd, caller, self.calls
        self.calls[caller] = call
        leaving = self.crowd.come(caller)
        if leaving is not None:
            self.calls[leaving].hang_up()
        return call


def caller_of(address: Any) -> Caller:
    """Who calls, by the address that the system gives."""
    host, port, *_ = address
    return Caller(host, port)


async def listening_socket(host: str, port: int, crowd: Crowd) -> socket.socket:
    """A socket that listens at that host and port; port 0 takes a free one.

    Raises:
        BadInputError: that host or port can't be had.
    """
    try:
        found = await asyncio.get_running_loop().getaddrinfo(
            host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE
        )
        family, kind, protocol, _, address = found[0]
        doorway = _Doorway(family, kind, protocol)
        doorway.crowd, doorway.calls = crowd, {}
        try:
            doorway.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            doorway.bind(address)
            doorway.setblocking(False)  # noqa: FBT003 - it takes no name
        except OSError:
            doorway.close()
            raise
    except OSError as error:
        raise BadInputError(
            f"{host}:{port}",
            str(error.strerror),
            "an address of this machine and a free port",
        ) from error
    return doorway
