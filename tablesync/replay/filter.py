"""Which steps of a replay are about a team, a player, an item, a finding, a time."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.act_subjects import subject_of, target_of
from tablesync.core.acts import (
    Act,
    Answered,
    ClosePeriod,
    Correction,
    LetStand,
    OpenPeriod,
    Shown,
)
from tablesync.core.findings import Cleared
from tablesync.core.tally import mark_of
from tablesync.errors import BadInputError
from tablesync.frozen import dataclass
from tablesync.replay.replay import EntryStep, FindingStep, NoticeStep

if TYPE_CHECKING:
    from collections.abc import Iterable

    from tablesync.core.acts import EntryId, Side
    from tablesync.core.entries import Entry
    from tablesync.core.findings import Finding
    from tablesync.core.tally import Item
    from tablesync.replay.replay import Replay, Step

__all__ = ["Filter", "concerned_entries", "require_finding", "selected"]


@dataclass(frozen=True, slots=True)
class Filter:
    """What steps must have in common to be selected; None lets every step pass."""

    side: Side | None = None
    number: str | None = None
    """A player's number; of both teams where no side is given."""
    item: Item | None = None
    finding: str | None = None
    """The id of a finding, or of a notice."""
    period: int | None = None
    from_ms: int | None = None
    """The first table time that passes."""
    to_ms: int | None = None
    """The last table time that passes."""


def selected(replay: Replay, wanted: Filter) -> tuple[int, ...]:
    """The positions right after the steps that pass, see `Replay.moment`."""
    judge = _Judge(replay, wanted)
    return tuple(
        position
        for position, step in enumerate(replay.steps, start=1)
        if judge.passes(step)
    )


def require_finding(replay: Replay, id_: str) -> None:
    """Makes sure that there was such a finding or notice.

    Raises:
        BadInputError: there was none; the error names those that there were.
    """
    known: dict[str, None] = {}
    for step in replay.steps:
        match step:
            case FindingStep(finding=finding):
                known[finding.id] = None
            case NoticeStep(notice=notice):
                known[notice.id] = None
            case EntryStep():
                pass
    if id_ not in known:
        what = f"there was no finding or notice {id_!r}"
        raise BadInputError("--finding", what, ", ".join(known) or "none to be asked")


def concerned_entries(replay: Replay, finding: str) -> frozenset[EntryId]:
    """The entries that a finding is about, and those that put an end to it."""
    ids: set[EntryId] = set()
    newest: EntryStep | None = None
    for step in replay.steps:
        match step:
            case EntryStep():
                newest = step
            case FindingStep(finding=found) if found.id == finding:
                ids |= {id_ for _, id_ in found.entries if id_ is not None}
                # What is cleared at the time of an entry is cleared by that entry.
                is_end = isinstance(step.event, Cleared)
                if is_end and newest is not None and newest.at_ms == step.at_ms:
                    ids.add(newest.entry.id)
            case _:
                pass
    ids |= {e.id for e in replay.history if target_of(e.act) in ids}
    return frozenset(ids)


class _Judge:
    """Judges the steps of one replay by one filter."""

    def __init__(self, replay: Replay, wanted: Filter) -> None:
        self._replay = replay
        self._wanted = wanted
        self._findings = {
            step.finding.id: step.finding
            for step in replay.steps
            if isinstance(step, FindingStep)
        }
        self._concerned: frozenset[EntryId] = frozenset()
        if wanted.finding is not None:
            self._concerned = concerned_entries(replay, wanted.finding)

    def passes(self, step: Step) -> bool:
        """Whether the step has all that is wanted."""
        return self._passes_time(step) and self._passes_matter(step)

    def _passes_time(self, step: Step) -> bool:
        wanted = self._wanted
        if wanted.period is not None and self._period(step) != wanted.period:
            return False
        if wanted.from_ms is not None and step.at_ms < wanted.from_ms:
            return False
        return wanted.to_ms is None or step.at_ms <= wanted.to_ms

    def _period(self, step: Step) -> int:
        match step:
            case EntryStep(entry=entry) if isinstance(
                entry.act, OpenPeriod | ClosePeriod
            ):
                return entry.act.period
            case _:
                return self._replay.reading(step.at_ms).period

    def _passes_matter(self, step: Step) -> bool:
        match step:
            case EntryStep(entry=entry):
                return self._passes_entry(entry)
            case FindingStep(finding=finding):
                return self._passes_finding(finding)
            case NoticeStep(notice=notice):
                wanted = self._wanted
                return (
                    wanted.side in (None, notice.side)
                    and wanted.number in (None, notice.number)
                    and wanted.finding in (None, notice.id)
                    and wanted.item is None
                )

    def _passes_entry(self, entry: Entry) -> bool:
        wanted = self._wanted
        told = _told_of(entry.act)
        is_wanted = wanted.finding in (None, told) or entry.id in self._concerned
        if not is_wanted:
            return False
        if told is not None and told in self._findings:
            return self._passes_finding(self._findings[told])
        acts = tuple(self._acts(entry.act))
        return self._names(acts) and (
            wanted.item is None or any(self._has_item(act) for act in acts)
        )

    def _acts(self, act: Act) -> Iterable[Act]:
        """The act, what it stands for, and what it reaches back to."""
        yield act
        if isinstance(act, Correction) and act.act is not None:
            yield act.act
        target = target_of(act)
        if target is not None and self._replay.history.holds(target):
            yield self._replay.history[target].act

    def _names(self, acts: tuple[Act, ...]) -> bool:
        wanted = self._wanted
        if wanted.side is None and wanted.number is None:
            return True
        subjects = [subject for subject in map(subject_of, acts) if subject is not None]
        return any(
            wanted.side in (None, subject.side)
            and (wanted.number is None or wanted.number in subject.numbers)
            for subject in subjects
        )

    def _has_item(self, act: Act) -> bool:
        mark = mark_of(act, self._replay.rules)
        return mark is not None and mark.item is self._wanted.item

    def _passes_finding(self, finding: Finding) -> bool:
        wanted = self._wanted
        acts = tuple(
            self._replay.history[id_].act
            for _, id_ in finding.entries
            if id_ is not None
        )
        return (
            wanted.finding in (None, finding.id)
            and wanted.item in (None, finding.item)
            and self._names(acts)
        )


def _told_of(act: Act) -> str | None:
    """The finding or notice that an act answers to."""
    match act:
        case Shown(subject=subject) | Answered(subject=subject):
            return subject
        case LetStand(finding=finding):
            return finding
        case _:
            return None
