"""The marks in a player's period boxes: how much of a period he played.

There is more than one habit, so the style is a setting of whoever prints the sheet.
"""

from __future__ import annotations

from enum import Enum, StrEnum, auto
from typing import TYPE_CHECKING

from tablesync.core.book_lines import PeriodMark

if TYPE_CHECKING:
    from tablesync.core.team_page import TeamPage

__all__ = ["MarkStyle", "QuarterMark", "quarter_mark"]


class MarkStyle(StrEnum):
    """What the marks tell."""

    WHOLE = "whole"
    """Slash: the whole period; cross: a part of it. Common practice, no source."""
    START = "start"
    """Slash: started it, circled: and went off; circle: came on later. So two youth
    leagues teach it."""


class QuarterMark(Enum):
    """What stands in a period box."""

    BLANK = auto()
    SLASH = auto()
    CROSS = auto()
    CIRCLE = auto()
    CIRCLED_SLASH = auto()


def quarter_mark(
    page: TeamPage, number: str, period: int, style: MarkStyle
) -> QuarterMark:
    """The mark of a player in a period, by what the book has of it."""
    match style:
        case MarkStyle.WHOLE:
            return _by_share(page.line(number).mark(period))
        case MarkStyle.START:
            return _by_start(page, number, period)


def _by_share(mark: PeriodMark) -> QuarterMark:
    match mark:
        case PeriodMark.FULL:
            return QuarterMark.SLASH
        case PeriodMark.PART:
            return QuarterMark.CROSS
        case PeriodMark.NONE:
            return QuarterMark.BLANK


def _by_start(page: TeamPage, number: str, period: int) -> QuarterMark:
    spells = [
        spell
        for spell in page.spells
        if spell.number == number and spell.period == period
    ]
    if not spells:
        return QuarterMark.BLANK
    if all(spell.from_ms is not None for spell in spells):
        return QuarterMark.CIRCLE
    if any(spell.to_ms is not None for spell in spells):
        return QuarterMark.CIRCLED_SLASH
    return QuarterMark.SLASH
