"""A made-up disk: what is queued, what the system has, and what survives a power cut.

Writes are carried out as `database` does it: whatever waits goes into one transaction,
which is on the disk in full or not at all, and only then is anybody told. After a write
has failed nothing more is written until the file has been opened anew.
"""

from __future__ import annotations

from dataclasses import field
from enum import Enum, auto
from typing import TYPE_CHECKING, TypeAlias

from tablesync.core.entries import digest_of
from tablesync.errors import BrokenInvariantError, CorruptJournalError
from tablesync.frozen import dataclass
from tablesync.simulation.witness import Invariant
from tablesync.stored_entries import entry_row, restore
from tablesync.sync.claim import Standing

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable
    from random import Random

    from tablesync.checkpoint import Checkpoint, Countersignature
    from tablesync.core.entries import Entry
    from tablesync.database import Row
    from tablesync.simulation.timeline import Life
    from tablesync.sync.intake import Holder

__all__ = ["Contents", "Disk", "Health", "Point", "Work"]

Evidence: TypeAlias = "tuple[Checkpoint, tuple[Countersignature, ...]]"

QUICK_MS = (1, 6)
SLOW_MS = (200, 2_500)


class Health(Enum):
    """How the disk is."""

    GOOD = auto()
    SLOW = auto()
    FULL = auto()
    BROKEN = auto()
    """A write fails, and what it was to write may be there or not."""


class Point(Enum):
    """A place in the life of an entry at which a process can be killed."""

    BEFORE_COMMIT = auto()
    AFTER_COMMIT = auto()
    BEFORE_ANSWER = auto()
    AMID_SENDING = auto()
    QUEUED = auto()
    """Whoever has asked for a write waits for it, and is called off there."""


@dataclass(slots=True)
class Contents:
    """What a file holds."""

    rows: dict[bytes, Row] = field(default_factory=dict)
    """Digest to row, in the order in which the rows were first stored."""
    standing: Standing = field(default_factory=Standing)
    sheet: bytes | None = None
    evidence: dict[int, Evidence] = field(default_factory=dict)
    """Checkpoints by the number of entries that each is over."""

    def copy(self) -> Contents:
        """The same, to be changed by itself."""
        evidence = dict(self.evidence)
        return Contents(dict(self.rows), self.standing, self.sheet, evidence)

    def put(self, work: Work) -> None:
        """Carries out one piece of work."""
        for entry in work.entries:
            self.rows[entry.digest] = entry_row(entry)
        if work.standing is not None:
            self.standing = work.standing
        if work.sheet is not None:
            self.sheet = work.sheet
        if work.evidence is not None:
            self.evidence[work.evidence[0].head.size] = work.evidence


@dataclass(frozen=True, slots=True)
class Work:
    """What belongs into one transaction, and who is told of its end."""

    done: Callable[[], None]
    """Told when it is on the disk."""
    entries: tuple[Entry, ...] = ()
    standing: Standing | None = None
    sheet: bytes | None = None
    evidence: Evidence | None = None


class Disk:
    """One file of one machine, which a process has open."""

    def __init__(self, random: Random, contents: Contents) -> None:
        self.health = Health.GOOD
        self.synced = contents
        """What is there after a power cut."""
        self.written = self.synced.copy()
        """What is there as long as the machine runs."""
        self.lost: set[bytes] = set()
        """Entries that were on the disk and have been destroyed there."""
        self.reach: Callable[[Point], bool] = _passes
        """Told of each place that is reached; whether the process was killed there."""
        self.fail: Callable[[], None] = _stay
        """Told that a write has failed."""
        self._random = random
        self._queue: list[Work] = []
        self._life: Life | None = None
        self._is_busy = False

    def open(self, life: Life) -> None:
        """A process opens the file. What another had queued is forgotten.

        What it finds may never have been synced, so that comes first.
        """
        self.synced = self.written.copy()
        self._life = life
        self._queue = []
        self._is_busy = False

    def cut_power(self) -> None:
        """The machine loses what was not synced."""
        self.written = self.synced.copy()

    def read_into(self, holder: Holder, where: str) -> None:
        """Gives what is stored to a holder, as journal and store do.

        Raises:
            BrokenInvariantError: it is damaged where no damage was done.
        """
        try:
            restore(self.written.rows.values(), holder, where)
        except CorruptJournalError as error:
            if not self.lost:
                raise BrokenInvariantError(Invariant.CHAINED, str(error)) from error

    def read(self, done: Callable[[], None]) -> None:
        """Reads, without waiting for what is being written; others go first."""
        assert self._life is not None
        self._life.after(0, done)

    def write(self, work: Work) -> None:
        """Queues work; it is done in the order of the calls."""
        self._queue.append(work)
        self.reach(Point.QUEUED)
        if not self._is_busy and self._queue:
            self._begin()

    def call_off(self) -> None:
        """Whoever waits for what was queued last waits no more: it is written still."""

    def _begin(self) -> None:
        assert self._life is not None
        self._is_busy = True
        self._life.after(self._delay_ms(), self._transact)

    def _delay_ms(self) -> int:
        is_slow = self.health is Health.SLOW
        return self._random.randint(*(SLOW_MS if is_slow else QUICK_MS))

    def _transact(self) -> None:
        """All that waits goes into the system's memory, in one transaction."""
        assert self._life is not None
        if self.reach(Point.BEFORE_COMMIT):
            return
        works, self._queue = self._queue, []
        is_refused = self.health is Health.BROKEN and self._random.random() < 0.5
        if self.health is Health.FULL or is_refused:
            self.fail()
            return
        for work in works:
            self.written.put(work)
        self._life.after(self._delay_ms(), lambda: self._sync(works))

    def _sync(self, works: Iterable[Work]) -> None:
        assert self._life is not None
        if self.health is Health.BROKEN:
            self.fail()
            return
        self.synced = self.written.copy()
        if self.reach(Point.AFTER_COMMIT):
            return
        for work in works:
            if self._life.is_over:
                return
            work.done()
        self._is_busy = False
        if self._queue:
            self._begin()

    def damage(self, digest: bytes) -> None:
        """Flips a bit of one stored entry."""
        key, payload, signature = self.synced.rows[digest]
        broken = payload[:-1] + bytes([payload[-1] ^ 1])
        for contents in (self.synced, self.written):
            contents.rows[digest] = (key, broken, signature)
        self.lost.add(digest)

    def cut_short(self, count: int) -> None:
        """Loses the last rows."""
        for digest in list(self.synced.rows)[-count:]:
            self.lost.add(digest)
            del self.synced.rows[digest]
        self.written = self.synced.copy()

    def replace(self, contents: Contents) -> None:
        """Other contents are put in the place of the file's."""
        before = self.written.rows.keys() | self.synced.rows.keys()
        self.lost |= before - contents.rows.keys()
        self.synced, self.written = contents, contents.copy()

    def sound(self) -> set[bytes]:
        """The entries that are on the disk as they were written."""
        return self.synced.rows.keys() - self._damaged()

    def _damaged(self) -> set[bytes]:
        return {
            digest
            for digest in self.lost & self.synced.rows.keys()
            if digest_of(*self.synced.rows[digest][1:]) != digest
        }


def _passes(_point: Point) -> bool:
    return False


def _stay() -> None:
    pass
