"""The entries of one seat in order, and what of them stands.

A struck entry has no effect but stays on record. A strike can be struck too: then what
it struck stands again. Strikes and corrections reach only back, so what is in force
follows from the newest to the oldest without a loop.

The referee's signature closes the record: what is entered after it has no effect,
except that the signature itself can be struck.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.acts import Correction, EntryId, Signer, SignOff, Strike
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from tablesync.core.acts import Act
    from tablesync.core.entries import Entry

__all__ = ["Corrected", "SeatRecord", "Standing"]


@dataclass(frozen=True, slots=True)
class Standing:
    """An act that counts, in its place."""

    entry: Entry
    """The entry that put it on record: for a corrected act, the correction."""
    act: Act
    at_ms: int
    """When it was done, in table time: for a corrected act, before it was entered."""


@dataclass(frozen=True, slots=True)
class Corrected:
    """One line of the list of corrections: a strike, or a correction with a reason."""

    entry: Entry
    target: EntryId | None
    act: Act | None
    """What was entered instead, or late."""
    reason: str
    """Empty for a plain strike."""
    in_force: bool


@dataclass(frozen=True, slots=True)
class _Force:
    """What strikes and corrections amount to."""

    overruled: frozenset[EntryId]
    """Entries whose act has no effect."""
    undone: frozenset[EntryId]
    """Strikes and corrections that were struck out, as if they had never been."""


class SeatRecord:
    """What one seat has put on record; book, board and check all read strikes here."""

    def __init__(self) -> None:
        self._entries: list[Entry] = []
        self._positions: dict[EntryId, int] = {}
        self._reaching: list[Entry] = []
        self._idle: list[Entry] = []
        self._signatures: list[Entry] = []
        self._force = _Force(frozenset(), frozenset())
        self._closed_at: int | None = None

    def __len__(self) -> int:
        return len(self._entries)

    def __iter__(self) -> Iterator[Entry]:
        """Every entry in order, struck ones and strikes included."""
        return iter(self._entries)

    def __reversed__(self) -> Iterator[Entry]:
        """Every entry, the last one first."""
        return reversed(self._entries)

    @property
    def struck(self) -> frozenset[EntryId]:
        """The entries that are struck out or amended, strikes among them."""
        return self._force.overruled

    @property
    def idle_strikes(self) -> tuple[Entry, ...]:
        """Strikes and corrections of what is no earlier entry of this seat."""
        return tuple(self._idle)

    @property
    def closed_by(self) -> Entry | None:
        """The referee's signature, once it stands."""
        return None if self._closed_at is None else self._entries[self._closed_at]

    @property
    def too_late(self) -> tuple[Entry, ...]:
        """What was entered after the referee had signed."""
        return () if self._closed_at is None else self._after(self._closed_at)

    @property
    def corrections(self) -> tuple[Corrected, ...]:
        """The strikes and corrections, in the order entered."""
        return tuple(self._corrected(entry) for entry in self._reaching)

    def take(self, entry: Entry) -> bool:
        """Puts the seat's next entry on record.

        Returns:
            Whether it changes what earlier entries amount to, so that `standing` has to
            be folded anew; otherwise it comes last, if it `counts` at all.
        """
        reaches_back = self._reaches_back(entry)
        if reaches_back:
            self._reaching.append(entry)
        is_signature = _is_signature(entry)
        if is_signature:
            self._signatures.append(entry)
        self._positions.setdefault(entry.id, len(self._entries))
        self._entries.append(entry)
        if reaches_back or is_signature:
            self._settle()
        return reaches_back

    def counts(self, entry: Entry) -> bool:
        """Whether an entry on record has an effect where it stands."""
        is_late = (
            self._closed_at is not None and self._positions[entry.id] > self._closed_at
        )
        return not is_late and entry.id not in self._force.overruled

    def standing(self) -> Iterator[Standing]:
        """The acts that count, in order, each in its place."""
        end = len(self._entries) if self._closed_at is None else self._closed_at + 1
        lines = [
            Standing(entry, entry.act, entry.table_time_ms)
            for entry in self._entries[:end]
            if not isinstance(entry.act, Strike | Correction)
        ]
        overruled = set(self._force.overruled)
        heirs: dict[EntryId, EntryId] = {}
        for entry in self._reaching:
            match entry.act:
                case Correction(target=target, act=act, at_ms=at_ms) if (
                    act is not None and self._is_in_force(entry)
                ):
                    if target is None:
                        assert at_ms is not None
                        _insert(lines, Standing(entry, act, at_ms))
                        continue
                    # Of two corrections of one entry the later has the last word.
                    while target in heirs:
                        target = heirs[target]
                    overruled.add(target)
                    heirs[target] = entry.id
                    _put_after(lines, target, entry, act)
                case _:
                    pass
        return (line for line in lines if line.entry.id not in overruled)

    def _reaches_back(self, entry: Entry) -> bool:
        match entry.act:
            case Correction(target=None):
                return True
            case (
                Strike(target=EntryId() as target)
                | Correction(target=EntryId() as target)
            ):
                if target in self._positions:
                    return True
                self._idle.append(entry)
                return False
            case _:
                return False

    def _settle(self) -> None:
        self._closed_at = None
        self._force = _force_of(self._reaching)
        for signature in self._signatures:
            if signature.id not in self._force.overruled:
                self._closed_at = self._positions[signature.id]
                in_time = [e for e in self._reaching if self._is_in_time(e)]
                self._force = _force_of(in_time)
                return

    def _is_in_time(self, entry: Entry) -> bool:
        closed_at = self._closed_at
        return closed_at is None or self._positions[entry.id] <= closed_at

    def _is_in_force(self, entry: Entry) -> bool:
        return entry.id not in self._force.undone and self._is_in_time(entry)

    def _after(self, position: int) -> tuple[Entry, ...]:
        return tuple(self._entries[position + 1 :])

    def _corrected(self, entry: Entry) -> Corrected:
        in_force = self._is_in_force(entry)
        match entry.act:
            case Correction(target=target, act=act, reason=reason):
                return Corrected(entry, target, act, reason, in_force)
            case Strike(target=target):
                return Corrected(entry, target, None, "", in_force)
            case _:
                raise AssertionError(f"{entry.id} reaches back to nothing")


def _is_signature(entry: Entry) -> bool:
    return isinstance(entry.act, SignOff) and entry.act.role is Signer.REFEREE


def _force_of(reaching: Iterable[Entry]) -> _Force:
    overruled: set[EntryId] = set()
    undone: set[EntryId] = set()
    for entry in reversed(list(reaching)):
        if entry.id in undone:
            continue
        match entry.act:
            case Strike(target=target) | Correction(target=target, act=None):
                if target is not None:
                    overruled.add(target)
                    undone.add(target)
            case Correction(target=target) if target is not None:
                # An amended correction goes on striking out what it struck out.
                overruled.add(target)
            case _:
                pass
    return _Force(frozenset(overruled), frozenset(undone))


def _insert(lines: list[Standing], late: Standing) -> None:
    place = next(
        (i for i, line in enumerate(lines) if line.at_ms > late.at_ms), len(lines)
    )
    lines.insert(place, late)


def _put_after(lines: list[Standing], target: EntryId, entry: Entry, act: Act) -> None:
    """Puts an act where its target stands; nowhere, if that was undone itself."""
    for place, line in enumerate(lines):
        if line.entry.id == target:
            lines.insert(place + 1, Standing(entry, act, line.at_ms))
            return
