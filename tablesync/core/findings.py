"""What the check says: findings, what is awaited, and the events of both.

A finding is a value: a mismatch between the records, with its likely cause in one
sentence and the ways out of it. Its id derives from an entry, so every holder names it
alike, and stays the same when the explanation is revised.
"""

from __future__ import annotations

from enum import StrEnum
from hashlib import sha256
from typing import TYPE_CHECKING, Generic, TypeAlias, TypeVar

from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tablesync.core.acts import Act, EntryId, Seat, Side
    from tablesync.core.tally import Item

__all__ = [
    "Awaited",
    "Cause",
    "CheckEvent",
    "Cleared",
    "Finding",
    "How",
    "PerSeat",
    "Raised",
    "Remedy",
    "Revised",
    "finding_id",
]

T = TypeVar("T")
T_co = TypeVar("T_co", covariant=True)


@dataclass(frozen=True, slots=True)
class PerSeat(Generic[T_co]):
    """One value for each seat that is compared: `values[Seat.BOOK]`."""

    pairs: tuple[tuple[Seat, T_co], ...]
    """In the order of the seats, each once."""

    def __getitem__(self, seat: Seat) -> T_co:
        for one, value in self.pairs:
            if one is seat:
                return value
        raise KeyError(seat)

    def __iter__(self) -> Iterator[tuple[Seat, T_co]]:
        return iter(self.pairs)


class Cause(StrEnum):
    """What most likely went wrong.

    The words are those of two seats. With a visiting book "board" stands for whichever
    record was compared with the book, and `Finding.entries` says which.
    """

    ONLY_IN_BOOK = "only_in_book"
    """The board lacks it."""
    ONLY_ON_BOARD = "only_on_board"
    """The book lacks it."""
    TWICE_IN_BOOK = "twice_in_book"
    TWICE_ON_BOARD = "twice_on_board"
    """The same act entered twice."""
    SIDES_DIFFER = "sides_differ"
    """One act, given to different teams."""
    POINTS_DIFFER = "points_differ"
    """One act, different points."""
    PERIOD_DIFFERS = "period_differs"
    ARROW_DIFFERS = "arrow_differs"


class How(StrEnum):
    """How a finding ended."""

    AGREED = "agreed"
    """The records agree again."""
    STANDS = "stands"
    """Every seat let it stand."""
    LAPSED = "lapsed"
    """The span that it concerned has ended."""


@dataclass(frozen=True, slots=True)
class Remedy:
    """One way in which one seat can put its own record right."""

    seat: Seat
    acts: tuple[Act, ...]
    """Ready to be entered in this order; they leave out what only the official can add,
    such as the number of a player that the board does not know, and `label` says so."""
    label: str
    """A few words for a key: "add +2 Kestrel Park"."""


@dataclass(frozen=True, slots=True)
class Finding:
    """A mismatch, with its likely cause."""

    id: str
    """12 hex digits, the same with every holder and under every revision."""
    item: Item
    side: Side | None
    """Of `SIDES_DIFFER` the book's side; None for the period and the arrow."""
    cause: Cause
    entries: PerSeat[EntryId | None]
    """The entry concerned in each record, or None where it has none."""
    values: PerSeat[int | Side | None]
    """What each record shows for the item: a count, a period, or the arrow's side."""
    raised_at_ms: int
    text: str
    """One line for an official."""
    remedies: tuple[Remedy, ...]
    alone: Seat | None = None
    """The one record that differs from all the others; None while there are two."""


@dataclass(frozen=True, slots=True)
class Awaited:
    """An entry that waits for its like in another record."""

    item: Item
    side: Side | None
    seat: Seat
    """Whose entry is awaited."""
    entry: EntryId
    """The entry that waits."""
    since_ms: int
    text: str
    """One line for an official: what is awaited, from whom."""


@dataclass(frozen=True, slots=True)
class Raised:
    """A mismatch is found."""

    finding: Finding


@dataclass(frozen=True, slots=True)
class Revised:
    """A finding that is open has a better explanation, or other values."""

    finding: Finding


@dataclass(frozen=True, slots=True)
class Cleared:
    """A finding is over."""

    id: str
    at_ms: int
    how: How


CheckEvent: TypeAlias = Raised | Revised | Cleared


def finding_id(item: Item, entry: EntryId, times_raised: int) -> str:
    """The id of the finding about an entry that could not be matched.

    Args:
        item: what the records differ in.
        entry: the entry that could not be matched.
        times_raised: how often a finding about it was raised and cleared before.
    """
    name = f"{item}:{entry.device.hex()}:{entry.number}:{times_raised}"
    return sha256(name.encode()).hexdigest()[:12]
