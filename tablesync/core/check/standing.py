"""Compares what has one value at a time: the period and the arrow.

A seat may well open a period before the other, in the interval; it matters once play
goes on. The arrow is compared where both seats keep it.

The times are common practice, no source.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from tablesync.core.acts import Seat, Side
from tablesync.core.check.comparison import Turn
from tablesync.core.tally import Item
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from tablesync.core.entries import Entry

__all__ = ["ArrowItem", "Difference", "PeriodItem", "Shown", "StandingItem", "Value"]

Value = int | Side | None
"""A period's number, the arrow's side, or nothing yet."""

STARTED_MS = 500
"""The timer starts the clock of a period that the board has not opened."""
PLAYED_MS = 12_000
"""The other seat plays on in a new period: so long this seat may take to follow."""
ARROW_MS = 14_000


@dataclass(frozen=True, slots=True)
class Shown:
    """What one record shows, and by which entry."""

    value: Value = None
    entry: Entry | None = None


class Difference(NamedTuple):
    """One turn of a difference between what two records show."""

    turn: Turn
    item: Item
    first: Shown
    second: Shown
    named_by: Entry
    """The entry that made the difference; it names the finding."""
    raised_ms: int
    at_ms: int


class StandingItem:
    """One item of two records, whose values are compared."""

    item: Item

    def __init__(self, seats: tuple[Seat, Seat]) -> None:
        self.seats = seats
        self.due_ms: int | None = None
        """When a difference that stays so long is raised."""
        self.open: tuple[Entry, int] | None = None
        """What names the open finding, and when it was raised."""
        self._shown = [Shown(), Shown()]
        self._shown_ms = [0, 0]
        self._news: list[Difference] = []

    def news(self) -> list[Difference]:
        """What happened since the last call, in order."""
        news, self._news = self._news, []
        return news

    @property
    def shown(self) -> tuple[Shown, Shown]:
        """What the two records show."""
        first, second = self._shown
        return first, second

    @property
    def differs(self) -> bool:
        """Whether the records show different values."""
        first, second = self._shown
        return first.value != second.value

    @property
    def awaited_from(self) -> int | None:
        """The record that is to follow the other's newest entry; None if raised."""
        if self.open is not None or not self.differs:
            return None
        return 1 - self._newest

    @property
    def _newest(self) -> int:
        """The record that shows the newer entry, where they differ."""
        first, second = self._shown
        if first.entry is None or second.entry is None:
            return 0 if second.entry is None else 1
        return 0 if self._shown_ms[0] > self._shown_ms[1] else 1

    def show(self, record: int, value: Value, entry: Entry | None, at_ms: int) -> None:
        """Takes in what a record shows from now on."""
        if self._shown[record] == Shown(value, entry):
            return
        self._shown[record] = Shown(value, entry)
        self._shown_ms[record] = at_ms
        if self.differs:
            self._expect(self._grace_ms(), at_ms)
            return
        self.due_ms = None
        if self.open is not None:
            self._tell(Turn.REVISED, at_ms)
            self._tell(Turn.CLEARED, at_ms)
            self.open = None

    def _grace_ms(self) -> int | None:
        """How long a new difference may last; None until something else happens."""
        raise NotImplementedError

    def _expect(self, grace_ms: int | None, at_ms: int) -> None:
        if grace_ms is None or self.open is not None or not self.differs:
            return
        due_ms = at_ms + grace_ms
        self.due_ms = due_ms if self.due_ms is None else min(self.due_ms, due_ms)

    def run_to(self, now_ms: int) -> None:
        """Moves time on."""
        if self.due_ms is not None and self.due_ms <= now_ms:
            entry = self._shown[self._newest].entry
            assert entry is not None
            self.open = entry, self.due_ms
            self._tell(Turn.RAISED, self.due_ms)
            self.due_ms = None

    def let_stand(self) -> None:
        """Takes the difference as it is, until one of the values changes."""
        self.open = None

    def _tell(self, turn: Turn, at_ms: int) -> None:
        assert self.open is not None
        entry, raised_ms = self.open
        first, second = self._shown
        self._news.append(
            Difference(turn, self.item, first, second, entry, raised_ms, at_ms)
        )


class PeriodItem(StandingItem):
    """The period, which matters as soon as somebody plays in it."""

    item = Item.PERIOD

    def _grace_ms(self) -> int | None:
        return None

    @property
    def _ahead(self) -> int:
        first, second = (
            shown.value if isinstance(shown.value, int) else 0 for shown in self._shown
        )
        return 0 if first > second else 1

    def clock_started(self, at_ms: int) -> None:
        """Takes in that the clock seat started the clock."""
        is_ahead = self.seats[self._ahead] is Seat.CLOCK
        self._expect(PLAYED_MS if is_ahead else STARTED_MS, at_ms)

    def played(self, record: int, at_ms: int) -> None:
        """Takes in that a seat entered an act of play."""
        if record == self._ahead:
            self._expect(PLAYED_MS, at_ms)


class ArrowItem(StandingItem):
    """The arrow, which one seat may leave to the other."""

    item = Item.ARROW

    def _grace_ms(self) -> int | None:
        is_kept = all(shown.value is not None for shown in self._shown)
        return ARROW_MS if is_kept else None
