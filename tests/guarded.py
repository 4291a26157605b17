"""A relay behind its gate on this machine, and devices that are let in or not."""

from __future__ import annotations

import asyncio
import ssl
from contextlib import AsyncExitStack
from dataclasses import replace
from typing import TYPE_CHECKING, Self

from websockets.asyncio.client import connect

from tablesync.admission.crowd import Limits
from tablesync.admission.invitation import Invitation, RelayAddress
from tablesync.admissions import Admissions, new_offer
from tablesync.client import DeviceSession
from tablesync.clock import MonotonicClock
from tablesync.gate import Gate
from tablesync.identity import identity_at
from tablesync.journal import Journal
from tablesync.seal import DeviceKey
from tablesync.server import serve_behind
from tablesync.store import Store
from tablesync.sync.claim import Claim
from tablesync.sync.intake import Archive
from tests.sync.table import GAME, SHEET, TIMING

if TYPE_CHECKING:
    from pathlib import Path

    from tablesync.admission.register import Offer
    from tablesync.clock import Clock
    from tablesync.core.acts import Seat
    from tablesync.core.vector_clock import DeviceId
    from tablesync.server import Relay
    from tablesync.sync.timing import Timing

__all__ = ["Hall", "any_certificate", "device_of"]


def any_certificate() -> ssl.SSLContext:
    """Speaks TLS with whoever answers, as somebody may who has no invitation."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    context.check_hostname = False
    context.verify_mode = ssl.CERT_NONE
    return context


def device_of(session: DeviceSession) -> DeviceId:
    return session._side.claim.key.device


class Hall:
    """A relay with its files in a folder; an asynchronous context."""

    relay: Relay
    gate: Gate
    store: Store
    admissions: Admissions

    def __init__(
        self,
        folder: Path,
        clock: Clock | None = None,
        timing: Timing = TIMING,
        limits: Limits = Limits(),  # noqa: B008 - it can't be changed
    ) -> None:
        self.folder = folder
        self.clock = clock or MonotonicClock()
        self._timing = timing
        self._limits = limits
        self._stack = AsyncExitStack()
        self._devices = 0

    async def __aenter__(self) -> Self:
        async with self._stack:
            await self._open()
            self._stack = self._stack.pop_all()
        return self

    async def _open(self) -> None:
        path = self.folder / "relay.db"
        enter = self._stack.enter_async_context
        self.store = await enter(await Store.open(path))
        await self.store.keep_sheet(GAME, SHEET)
        self.admissions = await enter(await Admissions.open(self.folder / "door"))
        identity = await asyncio.to_thread(identity_at, self.folder / "identity")
        self.gate = await Gate.open(identity, self.admissions, self.clock, self._limits)
        self.relay = await enter(
            await serve_behind(self.gate, self.store, self._timing, "127.0.0.1", 0)
        )

    async def __aexit__(self, *error: object) -> None:
        await self._stack.aclose()

    @property
    def address(self) -> RelayAddress:
        """Where the relay is."""
        certificate = self.gate.identity.certificate
        return RelayAddress("127.0.0.1", self.relay.port, certificate)

    async def offer(
        self, seat: Seat | None, game: bytes = GAME, *, replacing: bool = False
    ) -> Offer:
        """A new invitation as the relay keeps it."""
        offer = new_offer(game, seat, self.clock.now_ms())
        return await self.admissions.invite(replace(offer, is_confirmed=replacing))

    async def invitation(
        self, seat: Seat | None, game: bytes = GAME, *, replacing: bool = False
    ) -> Invitation:
        """A new invitation."""
        offer = await self.offer(seat, game, replacing=replacing)
        return Invitation(self.address, game, seat, offer.secret)

    async def device(self, seat: Seat | None) -> DeviceSession:
        """A new device with the game's sheet, which is not connected."""
        self._devices += 1
        claim = Claim(DeviceKey(bytes([self._devices]) * 32), GAME, seat, SHEET)
        path = self.folder / f"{self._devices}.journal"
        journal = await Journal.create(path, claim)
        session = await DeviceSession.open(journal, self.clock, self._timing)
        return await self._stack.enter_async_context(session)

    async def device_again(self, number: int) -> DeviceSession:
        """A device of an earlier hall in this folder, with what it had."""
        return await self.session_at(self.folder / f"{number}.journal")

    async def session_at(self, path: Path) -> DeviceSession:
        """A device with the journal at a path."""
        journal = await Journal.open(path)
        session = await DeviceSession.open(journal, self.clock, self._timing)
        return await self._stack.enter_async_context(session)

    async def held(self) -> int:
        """How many entries of the game the relay's store has."""
        holder = Archive(GAME)
        await self.store.read_into(GAME, holder)
        return len(holder.history)

    async def seated(self, seat: Seat | None) -> DeviceSession:
        """A device that has been invited and let in."""
        session = await self.device(seat)
        await session.connect(str(await self.invitation(seat)))
        await session.wait_for(lambda: session.is_quiet)
        return session

    def dial(self) -> connect:
        """A connection of somebody who speaks TLS and has nothing to show."""
        tls = any_certificate()
        return connect(self.relay.address, ssl=tls, compression=None, proxy=None)
