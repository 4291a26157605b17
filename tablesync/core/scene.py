"""What a notice is judged by, and what it says."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

from tablesync.core.sheet import shirt_order
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from collections.abc import Iterable

    from tablesync.core.acts import Act, Side
    from tablesync.core.book import Book
    from tablesync.core.entries import Entry
    from tablesync.core.game_clock import GameClock
    from tablesync.core.rules import RuleSet
    from tablesync.core.sentence import Sentence
    from tablesync.core.sheet import GameSheet

__all__ = ["NoticeKind", "Saying", "Scene", "in_order"]


class NoticeKind(StrEnum):
    """What a notice is about."""

    DISQUALIFIED = "disqualified"
    BONUS = "bonus"
    DOUBLE_BONUS = "double_bonus"
    TIME_OUTS_SPENT = "time_outs_spent"
    PLAYING_TIME = "playing_time"
    BOOK_CHECK = "book_check"
    """The entry stands, but the scorer may want to look at it again."""


@dataclass(frozen=True, slots=True)
class Saying:
    """Something to tell, apart from when and by which entry."""

    kind: NoticeKind
    side: Side
    number: str | None
    says: Sentence


@dataclass(frozen=True, slots=True)
class Scene:
    """An entry that the book has just taken, and how the book stands with it."""

    sheet: GameSheet
    rules: RuleSet
    book: Book
    clock: GameClock | None
    """None where there is no clock seat."""
    entry: Entry

    @property
    def act(self) -> Act:
        """What was entered."""
        return self.entry.act

    def team(self, side: Side) -> str:
        """A team as a sentence begins with it: by its colour."""
        colour = self.sheet.colour(side)
        return colour[:1].upper() + colour[1:]

    def colour(self, side: Side) -> str:
        """A team within a sentence."""
        return self.sheet.colour(side)


def in_order(numbers: Iterable[str]) -> list[str]:
    """Players' numbers as they are read out: 0, 00, 4, 12."""
    return sorted(numbers, key=shirt_order)
