"""A youth league's playing-time rules, and what they still ask of the periods to come.

In a period to come five players play it whole: changing within a period can't help
anybody to a whole one. So each player plays some number of them, between what he still
needs and what he still may, and the numbers must add up to five a period. Wherever they
do, there are line-ups for them (McNaughton's wrap-around rule, Management Science 6,
1959: fill the places of one period after the other, each player in one go). That makes
the look-ahead a few sums, however many players there are.
"""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

from tablesync.core.book_lines import PeriodMark
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from tablesync.core.periods import PeriodState
    from tablesync.core.sources import Source
    from tablesync.core.team_page import TeamPage

__all__ = [
    "ON_COURT",
    "LookAhead",
    "PlayingTimeRule",
    "PlayingTimeRules",
    "Prospect",
    "Quota",
    "Share",
    "look_ahead",
    "periods_left",
    "shares_of",
]

ON_COURT = 5


@dataclass(frozen=True, slots=True)
class PlayingTimeRule:
    """What each player of a team is owed in regular play."""

    least_present: int
    """The rule holds where at least so many are present, and no later rule does."""
    whole: int
    """Each plays at least so many whole periods."""
    most: int
    """Nobody plays in more periods than this, parts counted."""
    out: int
    """Each sits out at least so many periods."""
    source: Source


@dataclass(frozen=True, slots=True)
class PlayingTimeRules:
    """A league's rules by how many players are present."""

    by_present: tuple[PlayingTimeRule, ...]
    """By rising `least_present`; empty where the code has no such rule."""

    def for_present(self, present: int) -> PlayingTimeRule | None:
        """The rule for so many present; None where there is none."""
        fitting = [r for r in self.by_present if r.least_present <= present]
        return fitting[-1] if fitting else None


@dataclass(frozen=True, slots=True)
class Share:
    """What a player has had so far of the periods opened."""

    number: str
    whole: int
    played: int
    """Whole periods and parts."""
    out: int


class Prospect(StrEnum):
    """How a player stands to the rule."""

    MET = "met"
    """It holds, whatever is to come."""
    OPEN = "open"
    """It can still be met."""
    LOST = "lost"
    """It can't be met any more."""


@dataclass(frozen=True, slots=True)
class Quota:
    """At least so many of these must start the next period."""

    at_least: int
    among: frozenset[str]


@dataclass(frozen=True, slots=True)
class LookAhead:
    """What the rule asks of the next period."""

    prospects: dict[str, Prospect]
    can_all_be_met: bool
    """Whether everybody whose rule is not lost already can still have it met."""
    must_start: frozenset[str]
    must_sit: frozenset[str]
    quotas: tuple[Quota, ...]
    """Only what `must_start` does not say already."""

    def allows(self, line_up: Collection[str]) -> bool:
        """Whether all can still be met once this line-up has played the next period."""
        starters = set(line_up)
        return (
            self.can_all_be_met
            and self.must_start <= starters
            and not self.must_sit & starters
            and all(len(q.among & starters) >= q.at_least for q in self.quotas)
        )


@dataclass(frozen=True, slots=True)
class _Range:
    """How many of the periods to come a player must and may play."""

    number: str
    least: int
    most: int


def shares_of(
    page: TeamPage, regular: int, out_of_game: Collection[str]
) -> tuple[int, tuple[Share, ...]]:
    """How many players are present, and the shares of those who can still play.

    Args:
        page: the team's page.
        regular: how many periods regular play has; overtimes don't count.
        out_of_game: the numbers of those who are disqualified.
    """
    roster = {player.number for player in page.team.players}
    shares = [
        _share(number, line.marks[:regular])
        for number, line in page.lines.items()
        if number in roster or set(line.marks) - {PeriodMark.NONE}
    ]
    absent = {number for number, since in page.unavailable.items() if since == 0}
    present = sum(share.number not in absent for share in shares)
    gone = page.unavailable.keys() | set(out_of_game)
    return present, tuple(share for share in shares if share.number not in gone)


def _share(number: str, marks: Sequence[PeriodMark]) -> Share:
    out = sum(mark is PeriodMark.NONE for mark in marks)
    whole = sum(mark is PeriodMark.FULL for mark in marks)
    return Share(number, whole, len(marks) - out, out)


def periods_left(periods: PeriodState, regular: int) -> int:
    """How many periods of regular play are still to be opened."""
    return max(0, regular - periods.last)


def look_ahead(shares: Sequence[Share], rule: PlayingTimeRule, left: int) -> LookAhead:
    """What the rule asks of the next period, of `left` that are still to be opened.

    An open period counts in the shares as if it went on as it stands.
    """
    ranges = [_range(share, rule, left) for share in shares]
    prospects = {
        share.number: _prospect(share, rule, left, span)
        for share, span in zip(shares, ranges, strict=True)
    }
    # Whose rule is lost may play or sit, so that the others' can be met.
    ranges = [
        _Range(r.number, 0, left) if prospects[r.number] is Prospect.LOST else r
        for r in ranges
    ]
    on_court = min(ON_COURT, len(ranges))
    spare = on_court * left - sum(r.least for r in ranges)
    surplus = sum(r.most for r in ranges) - on_court * left
    can_all = left == 0 or (spare >= 0 and surplus >= 0)
    if left == 0 or not can_all:
        return LookAhead(prospects, can_all, frozenset(), frozenset(), ())
    must_start = frozenset(
        r.number for r in ranges if r.least == left or (r.most == left and not surplus)
    )
    must_sit = frozenset(
        r.number for r in ranges if r.most == 0 or (r.least == 0 and not spare)
    )
    owed = frozenset(r.number for r in ranges if r.least)
    free = frozenset(r.number for r in ranges if r.most == left)
    may_start = prospects.keys() - must_sit
    quotas = tuple(
        quota
        for quota in (Quota(on_court - spare, owed), Quota(len(free) - surplus, free))
        if quota.at_least > len(quota.among & must_start)
        and quota.at_least > on_court - len(may_start - quota.among)
    )
    return LookAhead(prospects, can_all, must_start, must_sit, quotas)


def _range(share: Share, rule: PlayingTimeRule, left: int) -> _Range:
    least = max(0, rule.whole - share.whole)
    to_sit_out = max(0, rule.out - share.out)
    return _Range(share.number, least, min(left - to_sit_out, rule.most - share.played))


def _prospect(share: Share, rule: PlayingTimeRule, left: int, span: _Range) -> Prospect:
    if span.least > span.most or span.most < 0:
        return Prospect.LOST
    is_met = span.least == 0 and share.out >= rule.out
    return (
        Prospect.MET if is_met and share.played + left <= rule.most else Prospect.OPEN
    )
