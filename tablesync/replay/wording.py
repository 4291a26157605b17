"""What a language needs to tell a replay, and English."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from tablesync.core.act_words import act_words
from tablesync.core.acts import Seat
from tablesync.core.finding_words import how_words, item_words
from tablesync.frozen import dataclass
from tablesync.replay.moments import moment_words, period_words

if TYPE_CHECKING:
    from collections.abc import Callable

    from tablesync.core.acts import Act
    from tablesync.core.findings import Finding, How
    from tablesync.core.game_clock import ClockReading
    from tablesync.core.history import History
    from tablesync.core.rules import RuleSet
    from tablesync.core.sentence import Sentence
    from tablesync.core.sheet import GameSheet
    from tablesync.core.tally import Item

__all__ = ["ENGLISH", "Recorded", "Wording", "seat_words"]


class Recorded(Protocol):
    """What there must be of a game to tell its acts: a replay of it, or the game."""

    @property
    def sheet(self) -> GameSheet:
        """Its sheet."""

    @property
    def rules(self) -> RuleSet:
        """Its rules."""

    @property
    def history(self) -> History:
        """Its entries."""


@dataclass(frozen=True, slots=True)
class Wording:
    """How a language tells a replay."""

    act: Callable[[Act, Recorded], str]
    finding: Callable[[Finding, Recorded], str]
    sentence: Callable[[Sentence, RuleSet], str]
    """What a notice says."""
    seat: Callable[[Seat], str]
    """What a seat's record is called in a heading."""
    item: Callable[[Item], str]
    how: Callable[[How], str]
    """How a finding ended."""
    moment: Callable[[ClockReading, RuleSet], str]
    period: Callable[[int, RuleSet], str]
    """In few letters."""
    not_on_record: Callable[[str], str]
    """Of an entry that is reached back to and is not held."""
    struck_later: str
    told: str
    """Of a notice, a finding, one that is understood otherwise, one that is over."""
    found: str
    rather: str
    over: str
    item_of: Callable[[str, str], str]
    """An item of a team."""
    received: str
    received_of: Callable[[tuple[Seat, ...], int, int], str]
    """So many of so many entries of these seats."""
    last: str
    nothing_yet: str
    no_period: str
    no_arrow: str


def seat_words(seat: Seat) -> str:
    """What a seat's record is called in a heading."""
    match seat:
        case Seat.BOOK:
            return "book"
        case Seat.CLOCK:
            return "board"
        case Seat.VISITING:
            return "visiting book"


def _received_of(others: tuple[Seat, ...], count: int, of: int) -> str:
    whose = f"{seat_words(others[0])}'s" if len(others) == 1 else "others'"
    return f"{count} of the {whose} {of} entries"


ENGLISH = Wording(
    act=lambda act, of: act_words(act, of.sheet, of.rules),
    finding=lambda finding, _: finding.text,
    sentence=lambda says, _: str(says),
    seat=seat_words,
    item=item_words,
    how=how_words,
    moment=moment_words,
    period=period_words,
    not_on_record=lambda entry: f"{entry}, which is not on record",
    struck_later="struck out later",
    told="notice",
    found="found",
    rather="rather",
    over="over",
    item_of=lambda item, team: f"{item} of {team}",
    received="had received",
    received_of=_received_of,
    last="last entered",
    nothing_yet="nothing yet",
    no_period="none yet",
    no_arrow="not set",
)
