"""From when to when each finding was open, and who was shown it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.acts import Answered, LetStand, Seat, Shown
from tablesync.core.findings import Cleared
from tablesync.frozen import dataclass
from tablesync.replay.replay import EntryStep, FindingStep

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tablesync.core.entries import Entry
    from tablesync.core.findings import Finding, How
    from tablesync.replay.replay import Replay

__all__ = ["Span", "answers_to", "showings_of", "spans_of"]


@dataclass(frozen=True, slots=True)
class Span:
    """One finding from beginning to end."""

    finding: Finding
    """As it stood last."""
    from_ms: int
    to_ms: int | None
    """None while it is open at the end of the record."""
    how: How | None
    """How it ended."""


def spans_of(replay: Replay) -> tuple[Span, ...]:
    """Every finding, in the order in which they were raised."""
    spans: dict[str, Span] = {}
    for step in replay.steps:
        if not isinstance(step, FindingStep):
            continue
        finding = step.finding
        before = spans.get(finding.id)
        from_ms = step.at_ms if before is None else before.from_ms
        match step.event:
            case Cleared(how=how):
                spans[finding.id] = Span(finding, from_ms, step.at_ms, how)
            case _:
                spans[finding.id] = Span(finding, from_ms, None, None)
    return tuple(spans.values())


def showings_of(replay: Replay, id_: str) -> dict[Seat, int]:
    """At which table time each seat's device first showed a finding or notice."""
    shown: dict[Seat, int] = {}
    for at_ms, entry in _entries(replay):
        match entry.act:
            case Shown(subject=subject) if subject == id_:
                shown.setdefault(entry.seat, at_ms)
            case _:
                pass
    return shown


def answers_to(replay: Replay, id_: str) -> tuple[Entry, ...]:
    """What officials answered to a finding or notice, in order."""
    return tuple(
        entry
        for _, entry in _entries(replay)
        if (isinstance(entry.act, Answered) and entry.act.subject == id_)
        or (isinstance(entry.act, LetStand) and entry.act.finding == id_)
    )


def _entries(replay: Replay) -> Iterator[tuple[int, Entry]]:
    for step in replay.steps:
        if isinstance(step, EntryStep):
            yield step.at_ms, step.entry
