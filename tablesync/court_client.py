"""Following the courts of a relay: a socket around `sync.courts.desk`."""

from __future__ import annotations

import asyncio
import logging
import os
from typing import TYPE_CHECKING

from websockets.exceptions import ConnectionClosed

from tablesync.admission.invitation import EVERY_GAME
from tablesync.errors import UnreachableError
from tablesync.joining import arrived
from tablesync.seal import DeviceKey
from tablesync.sockets import push
from tablesync.sync.claim import Claim
from tablesync.sync.courts.desk import CourtDesk

if TYPE_CHECKING:
    from websockets.asyncio.client import ClientConnection

    from tablesync.clock import Clock
    from tablesync.core.summary import Newcomer

__all__ = ["CourtSession"]

log = logging.getLogger(__name__)

RETRY_MS = 1_000
"""How long after a link is lost the next is tried."""


class CourtSession:
    """The courts of one relay, as far as they have been told."""

    def __init__(self, address: str, clock: Clock) -> None:
        self.desk = CourtDesk()
        self._address = address
        # A new one each time: an invitation to look on is used by one run of this.
        self._claim = Claim(DeviceKey(os.urandom(32)), EVERY_GAME, None, None)
        self._clock = clock
        self._told = asyncio.Event()
        self._socket: ClientConnection | None = None

    @property
    def is_connected(self) -> bool:
        """Whether there is a link to the relay."""
        return self._socket is not None

    @property
    def age_ms(self) -> int | None:
        """How long ago the relay last told anything; None before the first news."""
        told_ms = self.desk.told_ms
        return None if told_ms is None else self._clock.now_ms() - told_ms

    def relay_ms(self) -> int:
        """The relay's clock now."""
        return self.desk.relay_ms(self._clock.now_ms())

    def confirm(self, game: bytes, newcomer: Newcomer) -> None:
        """Has the relay let a device in; without a link nothing happens.

        What came of it the relay tells as it tells all else: the device waits no more.
        """
        if self._socket is not None:
            self.desk.confirm(self._claim.key, game, newcomer)
            push(self._socket, self.desk.frames_to_send())

    async def wait_for_news(self) -> None:
        """Returns once the relay has told something since the last call."""
        await self._told.wait()
        self._told.clear()

    async def follow(self) -> None:
        """Follows until the link is lost.

        Raises:
            UnreachableError: nobody answers there.
            ProtocolError, RefusedError: one end refused the other.
        """
        socket, _ = await arrived(self._address, self._claim)
        self.desk.connected()
        try:
            await self._read(socket)
        except ConnectionClosed as closed:
            log.info("connection lost: %s", closed)
        finally:
            self._socket = None
            await socket.close()
        if self.desk.trouble is not None:
            raise self.desk.trouble

    async def keep_following(self) -> None:
        """Follows, and again whenever the link is lost, until cancelled.

        Raises:
            ProtocolError, RefusedError: one end refused the other.
        """
        while True:
            try:
                await self.follow()
            except UnreachableError as error:
                log.info("%s", error)
            await self._clock.sleep_until(self._clock.now_ms() + RETRY_MS)

    async def _read(self, socket: ClientConnection) -> None:
        push(socket, self.desk.frames_to_send())
        self._socket = socket
        async for frame in socket:
            self.desk.receive_frame(frame, self._clock.now_ms())
            push(socket, self.desk.frames_to_send())
            self._told.set()
            if self.desk.is_closing:
                return
