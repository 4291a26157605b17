"""Writes the entries of one seat, as an official at the table would."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.acts import Charged, Foul, OpenPeriod, Seat, SetClock
from tablesync.core.book import Book
from tablesync.core.game_clock import GameClock
from tablesync.core.notices import Notices
from tablesync.core.sheet import GameSheet, Player, Team
from tablesync.core.tally import PerSide
from tablesync.core.vector_clock import VectorClock
from tablesync.seal import DeviceKey, Pen

if TYPE_CHECKING:
    from tablesync.core.acts import Act, Side
    from tablesync.core.entries import Entry
    from tablesync.core.notices import Notice
    from tablesync.core.rules import RuleSet

__all__ = [
    "MILLS",
    "SHEET",
    "TIDEGATE",
    "BookDesk",
    "Scribe",
    "bench_foul",
    "coach_foul",
    "foul",
    "squad",
]


def squad(
    name: str, colour: str, numbers: tuple[str, ...], starters: tuple[str, ...] = ()
) -> Team:
    """A team of our own; the first five start unless others are named."""
    first = starters or numbers[:5]
    players = tuple(Player(n, f"{name} {n}", n in first) for n in numbers)
    return Team(name, colour, f"coach of {name}", players)


MILLS = squad("Harbour Mills", "white", ("4", "5", "6", "7", "8", "9", "10", "11"))
TIDEGATE = squad("Tidegate", "blue", ("0", "00", "12", "13", "14", "15", "20", "21"))
SHEET = GameSheet("Harbour Mills v Tidegate", "fiba-2024", "", PerSide(MILLS, TIDEGATE))


class Scribe:
    """One seat's pen. Acts follow each other by a second unless told otherwise."""

    def __init__(self, seat: Seat, game: bytes = bytes(32)) -> None:
        self._pen = Pen(DeviceKey(str(seat).ljust(32).encode()), seat, game)
        self.now_ms = 0

    def enter(self, act: Act, at_ms: int | None = None) -> Entry:
        """Puts an act on record."""
        self.now_ms = self.now_ms + 1_000 if at_ms is None else at_ms
        return self._pen.write(act, VectorClock(), self.now_ms)


class BookDesk:
    """A scorer's book with its notices, and a clock that is set by hand."""

    def __init__(
        self, rules: RuleSet, sheet: GameSheet = SHEET, clock: GameClock | None = None
    ) -> None:
        self.rules = rules
        self.book = Book(sheet, rules)
        self.clock = clock
        self.notices: list[Notice] = []
        self._scribe = Scribe(Seat.BOOK)
        self._watch = Notices(sheet, rules)

    @property
    def now_ms(self) -> int:
        """The table time of the newest entry."""
        return self._scribe.now_ms

    def enter(self, *acts: Act) -> Entry:
        """Puts acts on record, and tells the entry of the last."""
        entry = None
        for act in acts:
            entry = self._scribe.enter(act)
            self.book.apply(entry)
            self.notices += self._watch.after(entry, self.book, self.clock)
        assert entry is not None
        return entry

    def told(self, *acts: Act) -> list[str]:
        """The texts of the notices that these acts cause."""
        before = len(self.notices)
        self.enter(*acts)
        return [notice.text for notice in self.notices[before:]]

    def show(self, period: int, remaining_ms: int) -> None:
        """Lets the clock show this from now on, standing."""
        self.clock = self.clock or GameClock(self.rules)
        self.clock.apply(OpenPeriod(period), self.now_ms)
        self.clock.apply(SetClock(remaining_ms), self.now_ms)


def foul(side: Side, number: str, kind: str = "personal") -> Foul:
    """A foul of a player."""
    return Foul(side, number, Charged.PLAYER, kind)


def coach_foul(side: Side, kind: str = "technical") -> Foul:
    """A foul of the head coach's own."""
    return Foul(side, None, Charged.COACH, kind)


def bench_foul(side: Side, kind: str = "technical") -> Foul:
    """A foul charged to the bench."""
    return Foul(side, None, Charged.BENCH, kind)
