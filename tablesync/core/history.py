"""All entries of one game that a holder has, in the order that all holders compute.

An entry is taken in once everything that it knew of has been (causal delivery); until
then it waits. The order is by the time at which an entry can have been written at the
earliest: its table time, but never before anything that it knew of. Ties go by how much
it knew, then by device and number. So the order extends happens-before, needs no wall
clock to be right, and a new entry's place in it never moves another entry.

Two different entries under one device and number are a fork: both stay, both count, and
the fork is reported. Nothing here decides between them. Only a fork may move entries
that have their place already. A clock does not always tell which branch was known: then
the order is still the same for all, but only along the chains is it sure to be causal.

Whoever has entries on a disk need not have them in memory too: one that is released
keeps its place, which says all that order, chains and forks depend on.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from typing import TYPE_CHECKING, NamedTuple

from tablesync.core.acts import EntryId
from tablesync.core.vector_clock import DeviceId, VectorClock
from tablesync.errors import BrokenChainError, EntryError, WrongSeatError
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from tablesync.core.acts import Seat
    from tablesync.core.entries import Entry

__all__ = ["Fork", "Head", "History", "Place"]


class Place(NamedTuple):
    """Where an entry stands in the common order, and what it follows from.

    A tuple, as every entry has one that is compared with others: in order of time, of
    what was known, of id, and of digest, which no two have in common.
    """

    time_ms: int
    """Its table time, or the latest of what it knew of where that is later."""
    known: int
    """How many entries its vector clock covers."""
    id: EntryId
    digest: bytes
    seat: Seat
    seen: VectorClock
    table_time_ms: int
    link: bytes


@dataclass(frozen=True, slots=True, order=True)
class Head:
    """The newest entry of a device's chain."""

    number: int
    digest: bytes


@dataclass(frozen=True, slots=True)
class Fork:
    """Different entries under one device and number, in order of digest."""

    id: EntryId
    entries: tuple[Entry, ...]


class History:
    """The entries of one game, whatever the order in which they arrive."""

    def __init__(self, game: bytes) -> None:
        self.game = game
        """The game's id, to which the first entry of every device links."""
        self._places: dict[bytes, Place] = {}
        self._entries: dict[bytes, Entry] = {}
        self._order: list[Place] = []
        self._chains: dict[DeviceId, list[bytes]] = {}
        self._forked: dict[EntryId, tuple[bytes, ...]] = {}
        self._tips: dict[DeviceId, set[bytes]] = {}
        self._waiting: dict[bytes, Entry] = {}
        self._awaited: dict[bytes | EntryId, list[Entry]] = {}
        self._broken: list[EntryError] = []

    def __len__(self) -> int:
        return len(self._order)

    def __iter__(self) -> Iterator[Entry]:
        """The entries in the common order. None may have been released."""
        return self._entries_at(self._order)

    def _entries_at(self, places: Iterable[Place]) -> Iterator[Entry]:
        return (self._entries[place.digest] for place in places)

    def __contains__(self, digest: object) -> bool:
        return digest in self._places

    def __getitem__(self, id_: EntryId) -> Entry:
        """The entry of that device and number; of a fork, the first by digest."""
        branches = self._branches(id_)
        if not branches:
            raise KeyError(id_)
        return self._entries[min(branches)]

    def places(self) -> Sequence[Place]:
        """The places of all entries, in the common order."""
        return self._order

    def place_of(self, id_: EntryId) -> Place:
        """Where the entry stands that `self[id_]` gives, released or not."""
        return self._places[min(self._branches(id_))]

    def entry_at(self, place: Place) -> Entry:
        """What stands there, unless it was released."""
        return self._entries[place.digest]

    def release(self, entries: Iterable[Entry]) -> None:
        """Keeps only the places of these, which the holder has elsewhere."""
        for entry in entries:
            self._entries.pop(entry.digest, None)

    def is_released(self, place: Place) -> bool:
        """Whether only the place is held."""
        return place.digest not in self._entries

    def holds(self, id_: EntryId) -> bool:
        """Whether an entry of that device and number has been taken in."""
        return 0 < id_.number <= len(self._chains.get(id_.device, ()))

    def _branches(self, id_: EntryId) -> tuple[bytes, ...]:
        """The digests under that device and number: none, one, or those of a fork."""
        if self._forked and id_ in self._forked:
            return self._forked[id_]
        return (self._chains[id_.device][id_.number - 1],) if self.holds(id_) else ()

    def place(self, entry: Entry) -> Place:
        """Where the entry stands in the common order."""
        return self._places[entry.digest]

    def add(self, entry: Entry) -> tuple[Entry, ...]:
        """Takes an entry in, or lets it wait for what it knew of.

        Returns:
            The entries that are taken in by this, each after what it knew of: none
            where the entry is known already or has to wait.

        Raises:
            BrokenChainError: it links to another game or to an entry of other number or
                device, or knew less than the entry before it.
            WrongSeatError: its device has entered from another seat. What waited and
                turns out wrong in one of these ways is listed in `broken`.
        """
        if entry.digest in self._places or entry.digest in self._waiting:
            return ()
        taken = [entry] if self._admit(entry) else []
        for one in taken:
            for waiting in self._waiting_for(one):
                del self._waiting[waiting.digest]
                try:
                    if self._admit(waiting):
                        taken.append(waiting)
                except EntryError as error:
                    self._broken.append(error)
        return tuple(taken)

    def _admit(self, entry: Entry) -> bool:
        """Takes the entry in and says so, or lets it wait for what it lacks first."""
        lacking: bytes | EntryId | None = entry.link
        if entry.id.number == 1 or entry.link in self._places:
            self._require_chain(entry)
            lacking = self._lacking(entry)
        if lacking is None:
            self._take(entry)
            return True
        self._waiting[entry.digest] = entry
        self._awaited.setdefault(lacking, []).append(entry)
        return False

    def _learnt(self, entry: Entry | Place) -> list[tuple[DeviceId, int]]:
        """What it knew that may say more of its place than the entry before it does.

        With a fork that is everything: it may have known another branch.
        """
        if entry.id.number == 1 or self._forked:
            return entry.seen.items()
        return entry.seen.beyond(self._places[entry.link].seen)

    def _lacking(self, entry: Entry) -> EntryId | None:
        """The first device and number that it knew of and of which nothing is held."""
        for device, number in self._learnt(entry):
            id_ = EntryId(device, number)
            for digest in self._branches(id_):
                if _can_have_seen(entry, self._places[digest]):
                    break
            else:
                return id_
        return None

    def _waiting_for(self, entry: Entry) -> list[Entry]:
        return [
            *self._awaited.pop(entry.digest, ()),
            *self._awaited.pop(entry.id, ()),
        ]

    def _take(self, entry: Entry) -> None:
        place = self._place_of(entry)
        self._places[entry.digest] = place
        self._entries[entry.digest] = entry
        if self._order and place < self._order[-1]:
            insort(self._order, place)
        else:
            self._order.append(place)
        tips = self._tips.setdefault(entry.id.device, set())
        tips.discard(entry.link)
        tips.add(entry.digest)
        branches = self._branches(entry.id)
        if branches:
            self._forked[entry.id] = (*branches, entry.digest)
            self._lay_out_anew()
        else:
            self._chains.setdefault(entry.id.device, []).append(entry.digest)

    def _require_chain(self, entry: Entry) -> None:
        if entry.id.number == 1:
            if entry.link != self.game:
                raise BrokenChainError(str(entry.id), "is not an entry of this game")
            return
        before = self._places[entry.link]
        device, number = entry.id.device, entry.id.number
        if before.id.device != device or before.id.number + 1 != number:
            raise BrokenChainError(str(entry.id), f"links to entry {before.id}")
        if before.seat is not entry.seat:
            what = f"is of the {entry.seat} seat; its device sits at {before.seat}"
            raise WrongSeatError(str(entry.id), what)
        if not before.seen <= entry.seen:
            raise BrokenChainError(str(entry.id), f"knew less than entry {before.id}")

    def _place_of(self, entry: Entry | Place) -> Place:
        known = entry.seen.total() + entry.id.number
        time_ms = entry.table_time_ms
        if entry.id.number > 1:
            time_ms = max(time_ms, self._places[entry.link].time_ms)
        for device, number in self._learnt(entry):
            for digest in self._branches(EntryId(device, number)):
                place = self._places.get(digest)
                # A branch that knew no less can't be the one that was seen.
                if place is None or place.known >= known or place.time_ms <= time_ms:
                    continue
                if _can_have_seen(entry, place):
                    time_ms = place.time_ms
        return Place(
            time_ms,
            known,
            entry.id,
            entry.digest,
            entry.seat,
            entry.seen,
            entry.table_time_ms,
            entry.link,
        )

    def _lay_out_anew(self) -> None:
        """Sets all places again: a fork may change what later entries knew of."""
        pending = sorted(self._places.values(), key=lambda place: place.known)
        self._places.clear()
        for place in pending:
            self._places[place.digest] = self._place_of(place)
        self._order = sorted(self._places.values())

    def entries_from(self, place: Place) -> tuple[Entry, ...]:
        """The entries from that place on, in the common order."""
        start = bisect_left(self._order, place)
        return tuple(self._entries_at(self._order[start:]))

    def have(self) -> VectorClock:
        """What is held: device to the highest number without a gap below it."""
        return VectorClock(
            {device: len(chain) for device, chain in self._chains.items()}
        )

    def heads(self) -> dict[DeviceId, tuple[Head, ...]]:
        """The newest entry of every device; several where a device has forked."""
        return {
            device: tuple(sorted(Head(self._places[d].id.number, d) for d in tips))
            for device, tips in self._tips.items()
        }

    def missing_from(
        self, theirs: Mapping[DeviceId, Iterable[Head]]
    ) -> tuple[Entry, ...]:
        """The entries that a holder with these heads may lack, each after what it knew.

        None of them may have been released.
        """
        return tuple(self._entries_at(self.places_missing_from(theirs)))

    def places_missing_from(
        self, theirs: Mapping[DeviceId, Iterable[Head]]
    ) -> tuple[Place, ...]:
        """Where the entries stand that a holder with these heads may lack.

        A head that is not known here is newer than what is held, or on another branch:
        which of them shows when the other holder has sent what it leads to. So whoever
        hears of heads that it lacks says its own again, until it lacks none.
        """
        held: set[bytes] = set()
        for device, heads in theirs.items():
            for head in heads:
                held |= self._chain_to(device, head)
        return tuple(place for place in self._order if place.digest not in held)

    def _chain_to(self, device: DeviceId, head: Head) -> set[bytes]:
        """What a holder of that head has of its device, as far as can be told here."""
        chain: set[bytes] = set()
        digest, number = head.digest, head.number
        # Through what waits too: two forks may each wait for what the other explains.
        while entry := self._places.get(digest) or self._waiting.get(digest):
            chain.add(digest)
            digest, number = entry.link, entry.id.number - 1
        if number > len(self._chains.get(device, ())):
            chain |= self._all_of(device)
        return chain

    def _all_of(self, device: DeviceId) -> set[bytes]:
        return {place.digest for place in self._order if place.id.device == device}

    def cut(self, clock: VectorClock) -> tuple[Entry, ...]:
        """What somebody with that clock could know, in the common order."""
        return tuple(e for e in self if e.id.number <= clock[e.id.device])

    def waiting(self) -> tuple[Entry, ...]:
        """The entries that wait for something they knew of."""
        return tuple(self._waiting.values())

    def broken(self) -> tuple[EntryError, ...]:
        """What was wrong with entries that waited and then could not be taken in."""
        return tuple(self._broken)

    def forks(self) -> tuple[Fork, ...]:
        """Every device and number under which different entries are held."""
        return tuple(
            Fork(id_, tuple(self._entries[digest] for digest in sorted(branches)))
            for id_, branches in sorted(self._forked.items())
        )


def _can_have_seen(entry: Entry | Place, branch: Place) -> bool:
    """Whether the entry covers what `branch`, at a number that it had seen, knew.

    Whoever saw something saw all that it knew. What `branch` knew of the entry's own
    device says nothing, since that may itself have forked.
    """
    return branch.seen <= entry.seen or all(
        branch.seen[device] <= entry.seen[device]
        for device in branch.seen
        if device != entry.id.device
    )
