"""The relay's courts told to followers: sockets and a timer around `sync.courts`.

It follows the relay as an observer, so a game goes its way first and is summed up
afterwards. A follower's connection leads to nothing else, but for a director's word
that a device may be let in, which goes to the relay's door.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Awaitable, Callable
from typing import TYPE_CHECKING, TypeAlias

from websockets.exceptions import ConnectionClosed

from tablesync.court_bench import LostWorkError, new_workbench
from tablesync.errors import ProtocolError, StorageError
from tablesync.sockets import push
from tablesync.sync.courts.gathering import JOBS_AT_ONCE, PACE_MS, Courts, Follower
from tablesync.sync.courts.messages import Confirmation

if TYPE_CHECKING:
    from websockets.asyncio.server import ServerConnection

    from tablesync.clock import Clock
    from tablesync.core.entries import Entry
    from tablesync.store import Store
    from tablesync.sync.courts.jobs import Done
    from tablesync.sync.messages import Presence
    from tablesync.sync.relay import RelayGame

__all__ = ["CourtFeed"]

log = logging.getLogger(__name__)


RESTART_MS = 1_000
"""After lost work so long is waited, should it get lost each time."""


Confirm: TypeAlias = Callable[[Confirmation], Awaitable[None]]


class CourtFeed:
    """Follows all games of a relay, and tells whoever asks; ended by `close`."""

    def __init__(self, store: Store, clock: Clock) -> None:
        self.courts = Courts()
        self._store = store
        self._clock = clock
        self._workbench = new_workbench()
        self._working = asyncio.Lock()
        self._sockets: dict[Follower, ServerConnection] = {}
        self._timekeeper = asyncio.create_task(self._keep_time())

    def game_opened(self, game: RelayGame) -> None:
        """A game is there whose sheet is known; one that is followed goes on."""
        if game.sheet is None:
            return
        self.courts.open_court(game.id, game.sheet, game.roll)
        if game.watch is not None:
            self.courts.waiting_changed(game.id, game.watch.waiting())

    def entry_taken(self, game: bytes, entry: Entry) -> None:
        """See `server.RelayObserver`."""
        self.courts.entry_taken(game, entry)

    def presence_changed(self, game: bytes, presence: Presence) -> None:
        """See `server.RelayObserver`."""
        self.courts.presence_changed(game, presence)

    async def serve(
        self, socket: ServerConnection, first: bytes | str, confirm: Confirm
    ) -> None:
        """One follower's connection, from its first frame to its end.

        Args:
            socket: the connection.
            first: its first frame.
            confirm: looks at the word that the follower gives for a device; it raises
                ProtocolError where that is worth nothing.

        Raises:
            StorageError: what was confirmed can't be kept.
        """
        follower = self.courts.follow(self._clock.now_ms())
        self._sockets[follower] = socket
        try:
            follower.receive_frame(first, self._clock.now_ms())
            for _ in range(1 + self.courts.turns // JOBS_AT_ONCE):
                await self._work()
            follower.tick(self._clock.now_ms())
            push(socket, follower.frames_to_send())
            while not follower.is_closing:
                follower.receive_frame(await socket.recv(), self._clock.now_ms())
                await _take_to_the_door(follower, confirm)
                push(socket, follower.frames_to_send())
        except ConnectionClosed as closed:
            log.info("a follower of the courts: connection lost: %s", closed)
        finally:
            follower.disconnected()
            self._sockets.pop(follower, None)

    async def close(self) -> None:
        """Ends the timer and the work; the sockets end with the relay's."""
        self._timekeeper.cancel()
        await asyncio.gather(self._timekeeper, return_exceptions=True)
        await self._workbench.close()

    async def _tell(self) -> None:
        """Has each follower told that is due, and a turn for the seats between."""
        self.courts.tick(self._clock.now_ms())
        while self.courts.tell_one(self._clock.now_ms()):
            self._send()
            await asyncio.sleep(0)
        self._send()

    def _send(self) -> None:
        for follower, socket in list(self._sockets.items()):
            push(socket, follower.frames_to_send())
            if follower.is_closing:
                # It reads nothing, so it would not read a farewell either.
                socket.transport.abort()

    async def _catch_up(self) -> bool:
        """Brings the courts up to date as they are now, or as far as the pace allows.

        Returns:
            Whether that was far enough to be told of.
        """
        until_ms = self._clock.now_ms() + PACE_MS
        for _ in range(1 + self.courts.turns // JOBS_AT_ONCE):
            await self._work()
            if self._clock.now_ms() >= until_ms:
                return False
        return True

    async def _work(self) -> None:
        """Has the next few courts worked on; what comes meanwhile waits."""
        async with self._working:
            try:
                await self._read()
                if len(self.courts):
                    # Without a task too: there may be more to say of those before.
                    tasks = self.courts.next_tasks()
                    self._take(await self._workbench.do(tasks))
            except (LostWorkError, StorageError) as error:
                log.warning("%s", error)
                self.courts.begin_anew()
                await self._clock.sleep_until(self._clock.now_ms() + RESTART_MS)
            except BaseException:
                self.courts.begin_anew()
                raise

    async def _read(self) -> None:
        """Reads what was entered while nobody followed."""
        while unread := self.courts.next_unread():
            # What was taken before is on the disk then, and the rest is told of.
            await self._store.settled()
            for game in unread:
                self.courts.read(game, await self._store.all_sealed(game))

    def _take(self, done: list[Done]) -> None:
        self.courts.done(done)
        for one in done:
            if one.changed is None:
                name = one.game.hex()[:8]
                log.warning("game %s has no summary: its rules are not known", name)

    async def _keep_time(self) -> None:
        while True:
            is_followed = self.courts.is_followed(self._clock.now_ms())
            is_far_enough = not is_followed or await self._catch_up()
            await self._tell()
            if is_far_enough:
                await self._clock.sleep_until(self.courts.next_deadline_ms())


async def _take_to_the_door(follower: Follower, confirm: Confirm) -> None:
    try:
        for confirmation in follower.confirmations():
            await confirm(confirmation)
    except ProtocolError as error:
        log.warning("a follower of the courts: refused: %s", error)
        follower.refuse(error)
