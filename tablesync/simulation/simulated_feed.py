"""The courts of a simulated relay: what `court_feed` is around the real ones."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.court_work import Workshop
from tablesync.errors import BrokenInvariantError
from tablesync.simulation.witness import Invariant
from tablesync.sync.messages import Sealed

if TYPE_CHECKING:
    from collections.abc import Iterable

    from tablesync.core.entries import Entry
    from tablesync.core.summary import Summary
    from tablesync.simulation.network import Connection
    from tablesync.simulation.world import World
    from tablesync.sync.courts.gathering import Follower
    from tablesync.sync.messages import Presence
    from tablesync.sync.relay import RelayGame

__all__ = ["SimulatedFeed"]

MOST_UNREAD = 1
"""So much is told to a director who reads nothing."""


class SimulatedFeed:
    """The courts of one run of the relay, and who follows them."""

    def __init__(self, world: World, held: Iterable[Entry]) -> None:
        """Finds in `held` what its relay has of the game."""
        self.courts = world.parts.courts()
        self.followers: dict[Connection, Follower] = {}
        self._unread: dict[Connection, int] = {}
        self._workshop = Workshop()
        self._game = world.setting.game
        self._held = held

    @property
    def summary(self) -> Summary | None:
        """How the court stood when it was last worked on."""
        court = self.courts.court(self._game)
        return None if court is None else court.summary

    def open(self, game: RelayGame) -> None:
        """The game is there, and its sheet is known."""
        if game.sheet is not None:
            self.courts.open_court(game.id, game.sheet, game.roll)

    def taken(self, entries: Iterable[Entry]) -> None:
        """The relay has taken entries in."""
        for entry in entries:
            self.courts.entry_taken(self._game, entry)

    def heard(self, presence: Presence) -> None:
        """A device of the game has come, gone, or been heard."""
        self.courts.presence_changed(self._game, presence)

    def accept(self, connection: Connection, first: bytes, now_ms: int) -> None:
        """A director has asked for the courts."""
        follower = self.courts.follow(now_ms)
        follower.receive_frame(first, now_ms)
        self.followers[connection] = follower
        self._unread[connection] = 0

    def receive(self, connection: Connection, frame: bytes, now_ms: int) -> None:
        """A director says something."""
        self.followers[connection].receive_frame(frame, now_ms)
        self._unread[connection] -= 1

    def lost(self, connection: Connection) -> None:
        """A director's connection is gone."""
        follower = self.followers.pop(connection, None)
        if follower is not None:
            follower.disconnected()
            del self._unread[connection]

    def tick(self, now_ms: int) -> None:
        """Works out what has changed, and tells who is due."""
        if self.courts.is_followed(now_ms):
            self.work()
        self.courts.tick(now_ms)
        while self.courts.tell_one(now_ms):
            pass

    def work(self) -> None:
        """Works out all that has come so far."""
        for game in self.courts.next_unread():
            self.courts.read(game, [Sealed(e.payload, e.signature) for e in self._held])
        while tasks := self.courts.next_tasks():
            self.courts.done(self._workshop.do(tasks))

    def send(self) -> None:
        """Sends what there is to tell, and parts from whoever is refused."""
        for connection, follower in list(self.followers.items()):
            frames = follower.frames_to_send()
            self._unread[connection] += len(frames)
            if self._unread[connection] > MOST_UNREAD and not follower.is_closing:
                what = "a director is told more, and has not read the last"
                raise BrokenInvariantError(Invariant.BOUNDED, what)
            connection.send_down(frames)
            if follower.is_closing:
                self.lost(connection)
                connection.close_from_relay()
