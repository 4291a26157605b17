"""Lets devices in at a relay: sockets and a file around `admission`."""

from __future__ import annotations

import asyncio
import logging
import os
from typing import TYPE_CHECKING

from tablesync.admission.crowd import Crowd, Limits
from tablesync.admission.frames import MOST_BYTES as MOST_STRANGER_BYTES
from tablesync.admission.frames import NONCE_BYTES
from tablesync.admission.invitation import EVERY_GAME
from tablesync.admission.pace import Allowance, Pace
from tablesync.admission.register import Member, Register
from tablesync.admission.visitor import Visitor
from tablesync.doorway import caller_of
from tablesync.errors import ForgedError
from tablesync.sockets import push
from tablesync.sync.codec import MOST_BYTES
from tablesync.sync.courts.codec import is_watch
from tablesync.sync.messages import Asking
from tablesync.sync.relay import read_hello

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from websockets.asyncio.server import ServerConnection

    from tablesync.admission.frames import Greeting
    from tablesync.admissions import Admissions
    from tablesync.clock import Clock
    from tablesync.core.entries import Entry
    from tablesync.core.vector_clock import DeviceId
    from tablesync.identity import RelayIdentity
    from tablesync.sync.courts.messages import Confirmation
    from tablesync.sync.messages import Presence

__all__ = ["Gate", "Watch", "require_same"]

log = logging.getLogger(__name__)


class Gate:
    """The door of one relay; made by `Gate.open`. Its file is the caller's to close."""

    def __init__(
        self,
        identity: RelayIdentity,
        admissions: Admissions,
        clock: Clock,
        limits: Limits,
    ) -> None:
        self.identity = identity
        self.crowd = Crowd(limits)
        self.clock = clock
        self.allowance = Allowance()
        """How many entries each device may send."""
        self._admissions = admissions
        self._register = Register(identity.key, identity.certificate)
        self._paces: dict[tuple[bytes, DeviceId], Pace] = {}
        self._turn = asyncio.Lock()
        self._tell_of_waiting: list[Callable[[bytes], None]] = []

    @classmethod
    async def open(
        cls,
        identity: RelayIdentity,
        admissions: Admissions,
        clock: Clock,
        limits: Limits = Limits(),  # noqa: B008 - it can't be changed
    ) -> Gate:
        """The door, with everybody on the register who is in the file.

        Raises:
            StorageError: the file can't be read.
        """
        gate = cls(identity, admissions, clock, limits)
        gate._register.recall(await admissions.members())
        return gate

    async def let_in(self, socket: ServerConnection) -> Greeting | None:
        """Talks with whoever is at a connection until its device is let in.

        Returns:
            What the device said of itself; None where it only came for an invitation.

        Raises:
            ProtocolError: it is not let in.
            StorageError: the file can't be read or written.
            ConnectionClosed: it has left.
        """
        socket.protocol.max_message_size = MOST_STRANGER_BYTES
        entropy = os.urandom
        visitor = Visitor(self._register, entropy(NONCE_BYTES), entropy)
        self.crowd.greet(caller_of(socket.remote_address))
        push(socket, visitor.frames_to_send())
        while visitor.greeting is None and not visitor.is_closing:
            frame = await socket.recv()
            # One at a time, so that none sees what another has not yet kept.
            async with self._turn:
                await self._hear(visitor, frame)
            push(socket, visitor.frames_to_send())
        if visitor.greeting is not None:
            self.crowd.let_in(caller_of(socket.remote_address))
            socket.protocol.max_message_size = MOST_BYTES
        return visitor.greeting

    async def _hear(self, visitor: Visitor, frame: bytes | str) -> None:
        self._register.recall(await self._admissions.offers())
        try:
            visitor.receive_frame(frame, self.clock.now_ms())
        finally:
            await self._keep()

    def _keep(self) -> asyncio.Future[None]:
        changes = self._register.changes()
        games = {change.game for change in changes if isinstance(change, Member)}
        for tell in self._tell_of_waiting:
            for game in games:
                tell(game)
        return self._admissions.keep(changes)

    def tell_of_waiting(self, tell: Callable[[bytes], None]) -> None:
        """Has somebody told of each game for whose seats others may now wait."""
        self._tell_of_waiting.append(tell)

    def waiting(self, game: bytes) -> tuple[Asking, ...]:
        """The devices that wait for a seat of a game to be confirmed."""
        waiting = self._register.waiting(game)
        return tuple(Asking(one.device, one.seat) for one in waiting if one.seat)

    async def confirm(self, confirmation: Confirmation, director: DeviceId) -> None:
        """Lets in a device that waits, by the word of a director who is linked.

        Raises:
            ProtocolError: it is no director, or not the director's word.
            StorageError: the file can't be written.
        """
        async with self._turn:
            self._register.confirm(confirmation, director, self.clock.now_ms())
            await self._keep()

    def check(self, game: bytes, entries: Sequence[Entry]) -> None:
        """Looks whether the entries' devices may write for their seats.

        Raises:
            NotAdmittedError: one of them may not.
        """
        self._register.vouch(entries, game)
        for entry in entries:
            self._register.check(entry, game)

    def spend(self, game: bytes, device: DeviceId, entries: int) -> None:
        """Counts entries that a device has sent.

        Raises:
            TooFastError: they are too many.
        """
        now_ms = self.clock.now_ms()
        pace = self._paces.setdefault((game, device), Pace(self.allowance, now_ms))
        pace.spend(entries, now_ms)

    def entry_taken(self, game: bytes, entry: Entry) -> None:
        """An entry has come into a game; it may confirm a device that waits."""
        self._register.note(entry, game, self.clock.now_ms())
        self._keep().add_done_callback(_log_failure)

    def presence_changed(self, game: bytes, presence: Presence) -> None:
        """Does not matter at the door."""


class Watch:
    """What one game asks the gate."""

    def __init__(self, gate: Gate, game: bytes) -> None:
        self._gate = gate
        self._game = game

    def arriving(self, device: DeviceId, entries: int) -> None:
        """A device has sent so many entries. See `Gate.spend`."""
        self._gate.spend(self._game, device, entries)

    def check(self, entries: Sequence[Entry]) -> None:
        """Looks whether their devices may write. See `Gate.check`."""
        self._gate.check(self._game, entries)

    def waiting(self) -> tuple[Asking, ...]:
        """The devices that wait for somebody to confirm them."""
        return self._gate.waiting(self._game)


def require_same(greeting: Greeting, first: bytes | str) -> None:
    """Looks whether a device asks for what it was let in for.

    Args:
        greeting: as what it was let in.
        first: its first frame after that.

    Raises:
        ForgedError: it claims something else.
        ProtocolError: it introduces nobody.
    """
    if greeting.game == EVERY_GAME and greeting.seat is None and is_watch(first):
        return
    hello = read_hello(first)
    said = (hello.game, hello.device, hello.seat)
    if said != (greeting.game, greeting.device, greeting.seat):
        what = "the hello is of another device, game or seat than was let in"
        raise ForgedError(what)


def _log_failure(done: asyncio.Future[None]) -> None:
    if not done.cancelled() and done.exception() is not None:
        log.error("the admissions can't be written: %s", done.exception())
