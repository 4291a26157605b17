"""How the courts stand, and which of them needs help first."""

from __future__ import annotations

from dataclasses import replace
from enum import Enum
from typing import TYPE_CHECKING

from tablesync.core.acts import Seat

if TYPE_CHECKING:
    from collections.abc import Iterable

    from tablesync.core.summary import Summary, Tallied

__all__ = ["CourtState", "ranked", "state_of", "urgency"]


class CourtState(Enum):
    """How a court stands, the worst first."""

    MISMATCH = "mismatch"
    CUT_OFF = "cut off"
    SETTLING = "settling"
    AGREED = "agreed"
    QUIET = "quiet"
    """Not begun, or signed."""


def state_of(summary: Summary) -> CourtState:
    """How a court stands."""
    if summary.findings.count:
        return CourtState.MISMATCH
    if not summary.written.entries or summary.written.is_signed:
        return CourtState.QUIET
    if summary.scorer.devices != 1 or summary.timer.devices != 1:
        return CourtState.CUT_OFF
    if summary.waiting.count or _shown(summary.book) != _shown(summary.board):
        return CourtState.SETTLING
    return CourtState.AGREED


def _shown(tally: Tallied) -> Tallied:
    return replace(tally, seat=Seat.BOOK)


_RANK = {state: rank for rank, state in enumerate(CourtState)}


def ranked(summaries: Iterable[Summary]) -> list[Summary]:
    """The courts, the one that needs help most first; equals by the court's name."""
    return sorted(summaries, key=urgency)


def urgency(summary: Summary) -> tuple[bool, int, int, int, str, str]:
    """Sorts courts: the less, the more help one needs.

    Where a device waits for its seat to be confirmed somebody can write nothing.
    """
    oldest_ms = min((one.raised_at_ms for one in summary.findings.oldest), default=0)
    name = summary.named.court
    # Court 9 stands before court 10.
    return (
        not summary.asked.newcomers,
        _RANK[state_of(summary)],
        oldest_ms,
        len(name),
        name,
        summary.named.title,
    )
