"""All courts of a relay, and everybody who follows them; without sockets or clock.

The relay tells of games (`open_court`), entries and presences as they come, which only
marks the court. What they amount to is worked out while somebody follows
(`is_followed`): the shell has the `next_tasks` done, by whom it will, and tells what
came of them (`done`), bytes that go into frames as they are. Entries are kept only from
then until they are given out; those from before the shell reads from the store
(`next_unread`, `read`).

`tick`, no later than `next_deadline_ms`, makes the followers due, who are told one at a
time (`tell_one`), so that others can have a turn in between. Then the shell sends the
`frames_to_send` of the followers and closes those that are `is_closing`. What followers
ask to have confirmed is a matter of the relay's door, to which the shell takes it
(`Follower.confirmations`).
"""

from __future__ import annotations

from dataclasses import field
from typing import TYPE_CHECKING

from tablesync.core.summary import (
    MOST_NEWCOMERS,
    NOBODY,
    Asked,
    Newcomer,
    PartPlace,
    learned,
)
from tablesync.errors import ProtocolError, SilenceError, UnexpectedMessageError
from tablesync.frozen import dataclass
from tablesync.sync.codec import encode
from tablesync.sync.courts.codec import (
    ROOM_FOR_ITEMS,
    decode_courts,
    encode_news,
    read_item,
    write_item,
)
from tablesync.sync.courts.jobs import Forget, Job
from tablesync.sync.courts.messages import (
    FIRST_WITH_ASKED,
    FIRST_WITH_MEANT,
    Confirmation,
    Gone,
    PartOf,
    Seen,
    Watch,
)
from tablesync.sync.messages import Sealed, refusal_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from tablesync.core.entries import Entry
    from tablesync.core.summary import Summary
    from tablesync.core.vector_clock import DeviceId
    from tablesync.sync.courts.jobs import Done, Task
    from tablesync.sync.messages import Asking, Presence

__all__ = [
    "ENTRIES_A_TURN",
    "JOBS_AT_ONCE",
    "LINGER_MS",
    "PACE_MS",
    "Courts",
    "Follower",
    "ListedCourt",
]

PACE_MS = 250
"""A follower is told of a court this often at most."""
PULSE_MS = 750
"""A follower is told the time this often, though nothing has changed.

So with the pace the table is never more than a second old.
"""
PATIENCE_MS = 60_000
"""Who has not read its news for so long has gone."""
KEEP_SIGNED_MS = 10 * 60_000
KEEP_UNSIGNED_MS = 3 * 3_600_000
"""How long a court stays in the table after its last device has left."""
SWEEP_MS = 60_000
LINGER_MS = 60_000
"""So long a follower that was cut off finds everything still worked out."""
ENTRIES_A_TURN = 50
JOBS_AT_ONCE = 50
GONE = -1
"""The place of no part."""
NEEDED_MINOR: dict[int, int] = {
    PartPlace.ASKED: FIRST_WITH_ASKED,
    PartPlace.MEANT: FIRST_WITH_MEANT,
}
"""Which minor version a follower must speak at least to be told of some parts."""


@dataclass(slots=True)
class ListedCourt:
    """A court as far as it has come, and what was made of it."""

    sheet: bytes
    is_unread: bool = True
    """Whether there may be entries in the store that are not known here."""
    entries: list[Sealed] = field(default_factory=list)
    """Those that have not been given out to be worked on."""
    presences: dict[DeviceId, Presence] = field(default_factory=dict)
    """The newest of each device, which says all that those before it have said."""
    news: dict[DeviceId, Presence] = field(default_factory=dict)
    """Those of them that have not been given out."""
    parts: dict[int, tuple[int, bytes]] = field(default_factory=dict)
    """By its place each part as it was last worked out, with its edition."""
    edition: int = 0
    """The newest of its parts; 0 before the first time."""
    asked: Asked = NOBODY
    """Who waits at the door for one of its seats."""
    is_signed: bool = False
    left_ms: int = 0
    """When its last device left; of no meaning while one is linked."""

    @property
    def is_linked(self) -> bool:
        """Whether any device at a seat is linked."""
        return any(one.is_linked for one in self.presences.values())

    @property
    def summary(self) -> Summary | None:
        """What somebody knows who has been told of all parts; None before the first."""
        summary = None
        for place in sorted(self.parts):
            item = read_item(self.parts[place][1])
            assert isinstance(item, PartOf)
            summary = learned(summary, item.part)
        return summary

    def put(self, changed: Mapping[int, bytes], edition: int) -> bool:
        """Takes parts as they now are; whether any is another than before."""
        for place, item in changed.items():
            if place not in self.parts or self.parts[place][1] != item:
                self.parts[place] = (edition, item)
                self.edition = edition
        return self.edition == edition

    @property
    def turns(self) -> int:
        """How many jobs what has not been given out makes."""
        return 1 + max(0, len(self.entries) - 1) // ENTRIES_A_TURN

    def next_job(self, game: bytes) -> Job:
        """The next entries; with the last of them what was heard since."""
        entries = tuple(self.entries[:ENTRIES_A_TURN])
        del self.entries[:ENTRIES_A_TURN]
        if self.entries:
            return Job(game, self.sheet, entries, ())
        news, self.news = self.news, {}
        return Job(game, self.sheet, entries, tuple(news.values()))

    def take(self, entry: Entry) -> None:
        """Keeps an entry for the next job, unless it will be read."""
        if not self.is_unread:
            self.entries.append(Sealed(entry.payload, entry.signature))

    def fall_behind(self) -> None:
        """Lets go of the entries. They are in the store."""
        self.entries.clear()
        self.is_unread = True


@dataclass(frozen=True, slots=True)
class _CourtNews:
    """What somebody must be told of a court who knew one edition, and now another."""

    before: int
    after: int
    items: tuple[tuple[int, bytes], ...]
    """Each with the place of its part."""
    size: int


class Courts:
    """The courts of a relay and their followers."""

    def __init__(self) -> None:
        self._courts: dict[bytes, ListedCourt] = {}
        self._arrived: dict[bytes, None] = {}
        self._forgotten: list[Forget] = []
        self._changed: dict[bytes, None] = {}
        self._news: dict[bytes, _CourtNews] = {}
        self._followers: list[Follower] = []
        self._untold: list[Follower] = []
        self._followed_until_ms = 0
        self._is_followed = False
        self._edition = 0
        self._next_sweep_ms = 0
        self._next_round_ms = 0

    def __len__(self) -> int:
        return len(self._courts)

    def court(self, game: bytes) -> ListedCourt | None:
        """A court, or None where it is not followed, or no longer."""
        return self._courts.get(game)

    def open_court(
        self, game: bytes, sheet: bytes, roll: Iterable[Presence] = ()
    ) -> None:
        """Takes a game up, with its devices; one that is there goes on as it is."""
        if game in self._courts:
            return
        self._courts[game] = ListedCourt(sheet)
        self._arrived[game] = None
        for presence in roll:
            self.presence_changed(game, presence)

    def entry_taken(self, game: bytes, entry: Entry) -> None:
        """The relay has taken an entry in."""
        court = self._courts.get(game)
        if court is not None:
            if not self._is_followed:
                court.fall_behind()
            court.take(entry)
            self._arrived[game] = None

    def presence_changed(self, game: bytes, presence: Presence) -> None:
        """A device of a game has come, gone, or been heard up to a later time."""
        court = self._courts.get(game)
        if court is not None:
            court.presences[presence.device] = presence
            court.news[presence.device] = presence
            self._arrived[game] = None

    def waiting_changed(self, game: bytes, waiting: Iterable[Asking]) -> None:
        """These devices now wait for a seat of a game to be confirmed."""
        court = self._courts.get(game)
        newcomers = tuple(Newcomer(one.device, one.seat) for one in waiting)
        asked = Asked(newcomers[:MOST_NEWCOMERS])
        if court is None or court.asked == asked:
            return
        court.asked = asked
        if court.edition:
            self._put(game, court, {})

    def is_followed(self, now_ms: int) -> bool:
        """Whether anybody follows the courts, or did until a while ago."""
        if self._followers:
            self._followed_until_ms = now_ms + LINGER_MS
        self._is_followed = now_ms < self._followed_until_ms
        return self._is_followed

    def next_unread(self) -> list[bytes]:
        """The next games of which all that is stored by now is to be read."""
        unread = [game for game in self._arrived if self._courts[game].is_unread]
        for game in unread[:JOBS_AT_ONCE]:
            self._courts[game].is_unread = False
        return unread[:JOBS_AT_ONCE]

    def read(self, game: bytes, stored: Iterable[Sealed]) -> None:
        """A game has been read. What it has come to meanwhile may be part of that."""
        court = self._courts.get(game)
        if court is not None:
            court.entries[:0] = stored

    @property
    def turns(self) -> int:
        """How many jobs there are, as things stand."""
        return sum(self._courts[game].turns for game in self._arrived)

    def next_tasks(self) -> list[Task]:
        """What is to be worked out next, a few entries of a few courts."""
        tasks: list[Task] = [*self._forgotten]
        self._forgotten = []
        ready = [game for game in self._arrived if not self._courts[game].is_unread]
        for game in ready[:JOBS_AT_ONCE]:
            del self._arrived[game]
            court = self._courts[game]
            tasks.append(court.next_job(game))
            if court.entries:
                self._arrived[game] = None
        return tasks

    def done(self, done: Iterable[Done]) -> None:
        """Tasks have been done. A court of rules that are not known is let go."""
        for one in done:
            court = self._courts.get(one.game)
            if court is None:
                continue
            if one.changed is None:
                self._let_go(one.game)
            else:
                court.is_signed = one.is_signed
                self._put(one.game, court, one.changed)

    def _put(
        self, game: bytes, court: ListedCourt, changed: Mapping[int, bytes]
    ) -> None:
        # Who waits at the door is known here, and not to whoever works the court out.
        asked = write_item(PartOf(game, court.asked))
        self._edition += 1
        if court.put({**changed, PartPlace.ASKED: asked}, self._edition):
            self._changed[game] = None

    def begin_anew(self) -> None:
        """What was worked out is lost: all of it is to be done again."""
        for game, court in self._courts.items():
            court.fall_behind()
            court.news = dict(court.presences)
            self._arrived[game] = None

    def follow(self, now_ms: int) -> Follower:
        """Lets somebody follow the courts, who is told of all of them first."""
        self._is_followed = True
        follower = Follower(self, self._courts, now_ms)
        self._followers.append(follower)
        return follower

    def leave(self, follower: Follower) -> None:
        """Somebody follows the courts no more."""
        if follower in self._followers:
            self._followers.remove(follower)

    def next_deadline_ms(self) -> int:
        """When `tick` has something to do, at the latest."""
        return self._next_round_ms

    def tick(self, now_ms: int) -> None:
        """Makes the followers due to be told, if it is time for it."""
        if now_ms < self._next_round_ms:
            return
        self._next_round_ms = now_ms + PACE_MS
        if now_ms >= self._next_sweep_ms:
            self._next_sweep_ms = now_ms + SWEEP_MS
            self._sweep(now_ms)
        changed, self._changed = self._changed, {}
        for follower in self._followers:
            follower.mark(changed)
        self._untold = list(self._followers)

    def tell_one(self, now_ms: int) -> bool:
        """Tells the news to one of those who are due; False where none is left."""
        if not self._untold:
            return False
        self._untold.pop().tick(now_ms)
        return True

    def news(self, game: bytes, before: int) -> _CourtNews:
        """What has changed of a court since an edition: the same for all who knew that.

        Most followers have been told the same, so it is put together once. Edition 0 is
        that of whoever has never been told of the court, or that it has gone.
        """
        court = self._courts.get(game)
        # One that nothing has been made of yet is no news, and has not gone either.
        after = 0 if court is None else court.edition or before
        news = self._news.get(game)
        if news is None or (news.before, news.after) != (before, after):
            items = _items_of(game, before, court)
            news = _CourtNews(before, after, items, sum(len(item) for _, item in items))
            self._news[game] = news
        return news

    def _sweep(self, now_ms: int) -> None:
        """Lets go of courts that everybody has left a while ago."""
        for game, court in list(self._courts.items()):
            if court.is_linked or not court.left_ms:
                court.left_ms = now_ms
            keep_ms = KEEP_SIGNED_MS if court.is_signed else KEEP_UNSIGNED_MS
            if now_ms - court.left_ms > keep_ms:
                self._let_go(game)

    def _let_go(self, game: bytes) -> None:
        del self._courts[game]
        self._news.pop(game, None)
        self._arrived.pop(game, None)
        self._forgotten.append(Forget(game))
        self._changed[game] = None


class Follower:
    """The relay's end of one follower's connection; made by `Courts.follow`.

    It reads that the news have been seen, and the word of a director that a device may
    be let in. So whatever a follower sends can't change what is on record.
    """

    def __init__(self, courts: Courts, games: Iterable[bytes], now_ms: int) -> None:
        self.is_closing = False
        """Whether the connection is to be closed, once the frames have been sent."""
        self._courts = courts
        self._marked = dict.fromkeys(games)
        self._told: dict[bytes, int] = {}
        self._number = 0
        self._seen = 0
        self._minor = 0
        self._confirmations: list[Confirmation] = []
        self._sent_ms = now_ms - PULSE_MS
        self._frames: list[bytes] = []

    @property
    def is_read(self) -> bool:
        """Whether all that was sent has been seen."""
        return self._seen == self._number

    def frames_to_send(self) -> list[bytes]:
        """The frames for the follower since the last call."""
        frames, self._frames = self._frames, []
        return frames

    def confirmations(self) -> list[Confirmation]:
        """What is to be taken to the door, of what has come since the last call."""
        confirmations, self._confirmations = self._confirmations, []
        return confirmations

    def mark(self, games: Iterable[bytes]) -> None:
        """Something of these courts may have changed."""
        self._marked.update(dict.fromkeys(games))

    def tick(self, now_ms: int) -> None:
        """Tells the news, unless the last are not seen yet."""
        if self.is_closing:
            return
        if not self.is_read:
            if now_ms - self._sent_ms > PATIENCE_MS:
                self.refuse(SilenceError("the news of the courts are not read"))
            return
        items = self._items()
        if items or now_ms - self._sent_ms >= PULSE_MS:
            self._number += 1
            self._sent_ms = now_ms
            frame = encode_news(self._number, now_ms, len(self._marked), items)
            self._frames.append(frame)

    def receive_frame(self, frame: bytes | str, now_ms: int) -> None:
        """Takes a frame of the follower. A wrong one ends the link."""
        if self.is_closing:
            return
        try:
            match decode_courts(frame):
                case Seen(number) if number == self._number:
                    self._seen = number
                    if self._marked:
                        # What did not fit; what has changed since waits its turn.
                        self.tick(now_ms)
                case Watch(version) if not self._number:
                    self._minor = version.minor
                case Confirmation() as confirmation:
                    self._confirmations.append(confirmation)
                case _:
                    what = "a follower says what it has seen, and whom to let in"
                    raise UnexpectedMessageError(what)
        except ProtocolError as error:
            self.refuse(error)

    def disconnected(self) -> None:
        """The connection has ended."""
        self.is_closing = True
        self._courts.leave(self)

    def refuse(self, error: ProtocolError) -> None:
        """Tells the follower what is wrong, and ends the connection."""
        self._frames.append(encode(refusal_of(error)))
        self.disconnected()

    def _items(self) -> list[bytes]:
        """The news of as many courts as fit into a frame, each court's in full."""
        items: list[bytes] = []
        room = ROOM_FOR_ITEMS
        while self._marked:
            game = next(iter(self._marked))
            news = self._courts.news(game, self._told.get(game, 0))
            if news.size > room:
                break
            room -= news.size
            items += (item for place, item in news.items if self._can_read(place))
            del self._marked[game]
            if news.after:
                self._told[game] = news.after
            else:
                self._told.pop(game, None)
        return items

    def _can_read(self, place: int) -> bool:
        needed = NEEDED_MINOR.get(place)
        return needed is None or self._minor >= needed


def _items_of(
    game: bytes, before: int, court: ListedCourt | None
) -> tuple[tuple[int, bytes], ...]:
    if court is None:
        return ((GONE, write_item(Gone(game))),) if before else ()
    parts = sorted(court.parts.items())
    return tuple((place, item) for place, (made, item) in parts if made > before)
