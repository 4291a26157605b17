"""Items, and how a finding ends, in the words of the table."""

from __future__ import annotations

from tablesync.core.findings import How
from tablesync.core.tally import Item

__all__ = ["how_words", "item_words"]


def item_words(item: Item) -> str:
    """What the table calls an item."""
    match item:
        case Item.SCORE:
            return "score"
        case Item.TEAM_FOULS:
            return "team fouls"
        case Item.TIME_OUTS:
            return "time-outs"
        case Item.PERIOD:
            return "period"
        case Item.ARROW:
            return "arrow"


def how_words(how: How) -> str:
    """How a finding ended."""
    match how:
        case How.AGREED:
            return "the records agree again"
        case How.STANDS:
            return "both officials let it stand"
        case How.LAPSED:
            return "over with its period"
