"""The socket at which a relay listens, which turns away who is too many.

The library would shake hands with anybody, and hold what that takes. So who is too many
is cut off as soon as the system has taken the call; and where the system can watch
many sockets as one, nobody is shaken hands with before having said a first byte.
"""

from __future__ import annotations

import asyncio
import logging
import select
import socket
import struct
import sys
import time
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
"""Steps in a row before the relay looks after the others again."""
MUTE_S = 60.0
"""Who has said nothing by then makes room for the next one who calls.

They cost next to nothing while they wait, and come again if they are sent away.
"""
_AT_ONCE = struct.pack("ii", 1, 0)
"""Closing says so at once, and leaves nothing behind in the system."""


class _Call(socket.socket):
    """A connection that tells the crowd when it has ended."""

    crowd: Crowd
    caller: Caller
    calls: dict[Caller, _Call]
    address: Any
    since_s: float

    def close(self) -> None:
        """Ends the connection."""
        is_over = self.calls.pop(self.caller, None) is not None
        if is_over and self.crowd.leave(self.caller):
            what = "left, or had to, without getting as far as a greeting"
            log.warning("%s: %s", self.caller.host, what)
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
            call = self._answer()
            if call is not None:
                return self._heard(call), call.address
        raise BlockingIOError

    def _answer(self) -> _Call | None:
        """Takes the next call, and None where nobody may come in."""
        connection, address = super().accept()
        caller = caller_of(address)
        if not self.crowd.may_come(caller.host):
            with suppress(OSError):
                connection.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, _AT_ONCE)
            connection.close()
            return None
        call = _Call(fileno=connection.detach())
        call.setblocking(False)  # noqa: FBT003 - it takes no name
        call.crowd, call.caller, call.calls = self.crowd, caller, self.calls
        call.address, call.since_s = address, time.monotonic()
        self.calls[caller] = call
        leaving = self.crowd.come(caller)
        if leaving is not None:
            self._send_away(self.calls[leaving])
        return call

    def _heard(self, call: _Call) -> _Call:
        leaving = self.crowd.speak(call.caller)
        if leaving is not None:
            self.calls[leaving].hang_up()
        return call

    def _send_away(self, call: _Call) -> None:
        """Ends a call that is mute."""
        call.hang_up()


if sys.platform == "linux":

    class _WatchingDoorway(_Doorway):
        """A doorway that waits for each caller's first byte.

        What the loop watches is the listening socket and all who are mute, as one.
        """

        def __init__(self, *options: Any) -> None:
            self._watch = select.epoll()
            self._mute: dict[int, _Call] = {}
            super().__init__(*options)
            self._own = super().fileno()
            self._watch.register(self._own, select.EPOLLIN)

        def fileno(self) -> int:
            """What becomes readable when somebody calls or speaks."""
            return self._watch.fileno()

        def close(self) -> None:
            """Ends listening, and cuts off who is mute."""
            if not self._watch.closed:
                self._watch.close()
                for call in list(self._mute.values()):
                    call.close()
            super().close()

        def accept(self) -> tuple[socket.socket, Any]:
            """The next connection whose caller has spoken."""
            for _ in range(MOST_AT_ONCE):
                ready = self._watch.poll(0, 1)
                if not ready:
                    break
                if ready[0][0] == self._own:
                    self._let_wait()
                    continue
                call = self._mute[ready[0][0]]
                self._forget(call)
                return self._heard(call), call.address
            raise BlockingIOError

        def _let_wait(self) -> None:
            call = self._answer()
            if call is not None:
                self._mute[call.fileno()] = call
                self._watch.register(call.fileno(), select.EPOLLIN)
            oldest = next(iter(self._mute.values()), None)
            if oldest is not None and time.monotonic() - oldest.since_s > MUTE_S:
                self._send_away(oldest)

        def _forget(self, call: _Call) -> None:
            self._watch.unregister(call.fileno())
            del self._mute[call.fileno()]

        def _send_away(self, call: _Call) -> None:
            self._forget(call)
            call.close()

    DOORWAY: type[_Doorway] = _WatchingDoorway
else:
    DOORWAY = _Doorway


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
        doorway = DOORWAY(family, kind, protocol)
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
