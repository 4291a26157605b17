"""What a score sheet is printed of, and the words that its parts have in common."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.act_words import clock_words
from tablesync.core.acts import OpenPeriod, Side
from tablesync.core.words import ordinal
from tablesync.frozen import dataclass
from tablesync.paper.cells import Cell, Frame
from tablesync.paper.typesetting import set_line

if TYPE_CHECKING:
    from collections.abc import Iterable

    from tablesync.core.entries import Entry
    from tablesync.core.game import Game
    from tablesync.core.quarter_marks import MarkStyle
    from tablesync.core.rules import RuleSet
    from tablesync.paper.area import Area
    from tablesync.paper.typesetting import Letters, Style

__all__ = ["Subject", "capital", "period_label"]


@dataclass(frozen=True, slots=True)
class Subject:
    """A game as it stands, and how it is to be printed."""

    game: Game
    origin: str
    """What the game was read from."""
    marks: MarkStyle
    letters: Letters

    @property
    def periods(self) -> range:
        """The periods that the sheet has: those of regular play, and all played."""
        tally = self.game.book.tally
        return range(1, max(self.game.rules.periods, tally.period) + 1)

    @property
    def is_blank(self) -> bool:
        """Whether nothing is entered yet: then figures are left to a pencil."""
        return not len(self.game.history)

    def figure(self, number: int | str) -> str:
        """A figure as it stands on the sheet."""
        return "" if self.is_blank else str(number)

    def cell(
        self, area: Area, text: str, style: Style, frame: Frame = Frame.NONE
    ) -> Cell:
        """A cell with one line of text."""
        return Cell(area, (set_line(text, area, style, self.letters),), frame)

    def team(self, side: Side) -> str:
        """A team by its colour, as a sentence begins with it."""
        return capital(self.game.sheet.colour(side))

    def label(self, period: int) -> str:
        """A period in a small box."""
        return period_label(self.game.rules, period)

    def moment(self, at_ms: int) -> str:
        """A table time as the game had it: "2nd 4:31", or "2nd" without a clock."""
        board = self.game.seated_board
        if board is not None:
            shown = board.clock.reading(at_ms)
            if shown.period:
                return f"{self.label(shown.period)} {clock_words(shown.remaining_ms)}"
        period = _period_at(at_ms, self.game.book.record)
        return self.label(period) if period else "before the game"


def period_label(rules: RuleSet, period: int) -> str:
    """A period in a small box: "2nd", "OT1"."""
    if period > rules.periods:
        return f"OT{period - rules.periods}"
    return ordinal(period)


def capital(text: str) -> str:
    """The text as a sentence begins with it."""
    return text[:1].upper() + text[1:]


def _period_at(at_ms: int, record: Iterable[Entry]) -> int:
    """The last period that a seat had opened by then, 0 before the first."""
    opened = (
        entry.act.period
        for entry in record
        if isinstance(entry.act, OpenPeriod) and entry.table_time_ms <= at_ms
    )
    return max(opened, default=0)
