"""A device's own entries on their way: written, on its disk, on the relay's disk.

It also keeps the device's word. A beat says that whatever comes after the last entry
has this table time or a later one, so nothing is ever written with an earlier one, even
where the estimate of table time falls or the device's clock was wrong before it met the
relay. And each entry is later than the one before, so an entry says the same by itself:
what follows it is later than it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.acts import EntryId
from tablesync.errors import MissingEntriesError, WrongSeatError
from tablesync.seal import Pen

if TYPE_CHECKING:
    from collections.abc import Iterable

    from tablesync.core.acts import Act, Seat
    from tablesync.core.entries import Entry
    from tablesync.core.history import Head, History
    from tablesync.seal import DeviceKey

__all__ = ["Outbox"]


class Outbox:
    """What one device writes in one game."""

    def __init__(self, key: DeviceKey, seat: Seat | None, history: History) -> None:
        """Goes on after the last of the device's entries in the history."""
        self.device = key.device
        self.heard_ms = 0
        """Nothing that the device has yet to write has an earlier table time."""
        self._history = history
        self._pen = Pen(key, seat, history.game) if seat is not None else None
        self._last: Entry | None = None
        self._uncommitted: list[Entry] = []
        self._unacknowledged: dict[bytes, Entry] = {}
        self._durable: set[bytes] = set()
        self._owed = 0
        for entry in self._own():
            self._go_on_after(entry)

    def _own(self) -> list[Entry]:
        return [entry for entry in self._history if entry.id.device == self.device]

    def _go_on_after(self, entry: Entry) -> None:
        if self._last is not None and entry.id.number <= self._last.id.number:
            return
        self._last = entry
        if self._pen is not None:
            self._pen.resume(entry)

    @property
    def number(self) -> int:
        """The device's last entry that is on its own disk; 0 before the first."""
        return self._history.have()[self.device]

    @property
    def written(self) -> int:
        """The last number that the device has ever used, as far as it knows."""
        last = 0 if self._last is None else self._last.id.number
        return max(last, self._owed)

    @property
    def is_short(self) -> bool:
        """Whether the device lacks entries that it wrote: then it writes no others.

        Somebody may hold them, and two entries under one number would be a fork.
        """
        return self.number < self._owed

    def owe(self, written: int) -> None:
        """Learns up to which number the device had written before it was started."""
        self._owed = max(written, self._owed)

    def forgive(self, held: int) -> None:
        """Learns that the relay holds the device's entries up to this number only.

        What the device had written beyond that is lost, and its number is free.
        """
        self._owed = min(held, self._owed)

    @property
    def uncommitted(self) -> int:
        """How many entries are not on the device's own disk yet."""
        return len(self._uncommitted)

    @property
    def unacknowledged(self) -> int:
        """How many entries are on the device's disk, and not known on a relay's."""
        return len(self._unacknowledged)

    @property
    def acknowledged(self) -> int:
        """Up to which number they are on the relay's disk."""
        numbers = (entry.id.number for entry in self._unacknowledged.values())
        return min(numbers, default=self.number + 1) - 1

    def oldest_unacknowledged(self) -> bytes | None:
        """The digest of the entry that has waited longest for the relay's disk."""
        return next(iter(self._unacknowledged), None)

    def write(self, act: Act, table_ms: int) -> Entry:
        """Puts an act on record; `committed` must follow before it may be sent.

        Args:
            act: what the official did.
            table_ms: the table time now; the entry's is later where the device's word
                says so.

        Raises:
            MissingEntriesError: the device is short of entries that it wrote before.
            EntryError: the act is not this seat's, or can't be put as bytes.
        """
        if self._pen is None:
            raise WrongSeatError(
                str(EntryId(self.device, 1)), "who only watches enters nothing"
            )
        if self.is_short:
            raise MissingEntriesError(
                str(EntryId(self.device, self.number + 1)),
                f"the device had written up to {self._owed}, and must first have that "
                "back from the relay",
            )
        time_ms = max(table_ms, self.heard_ms)
        if self._last is not None:
            time_ms = max(time_ms, self._last.table_time_ms + 1)
        entry = self._pen.write(act, self._history.have(), time_ms)
        self._last = entry
        self._uncommitted.append(entry)
        return entry

    def committed(self, entries: Iterable[Entry]) -> list[Entry]:
        """Those of the entries that came from the pen; they are on the disk now."""
        recorded = {entry.digest for entry in entries}
        fresh = [entry for entry in self._uncommitted if entry.digest in recorded]
        self._uncommitted = [
            entry for entry in self._uncommitted if entry.digest not in recorded
        ]
        self._unacknowledged |= {entry.digest: entry for entry in fresh}
        return fresh

    def promise(self, table_ms: int, latest_ms: int) -> int:
        """Says from which table time on whatever is yet to be written will be.

        Args:
            table_ms: the table time now.
            latest_ms: where the last entry stands that the device holds of anybody:
                what the device writes next comes after it in any case.
        """
        if self.is_short:
            # Its word would be taken for what it wrote before, and lacks.
            return self.heard_ms
        word_ms = max(table_ms, latest_ms + 1)
        if self._uncommitted:
            word_ms = min(word_ms, self._uncommitted[0].table_time_ms)
        self.heard_ms = max(self.heard_ms, word_ms)
        return self.heard_ms

    def remember(self, heard_ms: int) -> None:
        """Stands by what the device had said before it was started anew."""
        self.heard_ms = max(self.heard_ms, heard_ms)

    def take_back(self, entry: Entry) -> None:
        """Takes an entry of the device's own that has come from the relay.

        The device was restored from an older copy: the chain goes on after it, unless
        it has been continued otherwise already, which is a fork.
        """
        if self._last is None or entry.link == self._last.digest:
            self._go_on_after(entry)
        self._unacknowledged[entry.digest] = entry
        self._settle()

    def doubt(self, acknowledged: int) -> None:
        """Counts what follows that number as not on the relay's disk."""
        self._durable.clear()
        self._unacknowledged = {
            entry.digest: entry
            for entry in self._own()
            if entry.id.number > acknowledged
        }

    def mark_durable(self, heads: Iterable[Head]) -> None:
        """Learns that these entries, and all before them, are on the relay's disk."""
        self._durable = {head.digest for head in heads}
        self._settle()

    def _settle(self) -> None:
        for digest in self._durable:
            entry = self._unacknowledged.pop(digest, None)
            while entry is not None:
                entry = self._unacknowledged.pop(entry.link, None)
