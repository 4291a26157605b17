"""Which entries of two records tell of one act, for whoever looks at both lanes.

What a finding named keeps the place that the check gave it. The rest agrees, so like
entries belong together in their order.
"""

from __future__ import annotations

from enum import Enum, auto
from typing import TYPE_CHECKING

from tablesync.core.acts import Correction, Seat
from tablesync.core.findings import Cause, Cleared, How
from tablesync.core.tally import mark_of
from tablesync.frozen import dataclass
from tablesync.replay.replay import EntryStep, FindingStep

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tablesync.core.acts import EntryId
    from tablesync.core.entries import Entry
    from tablesync.core.findings import Finding
    from tablesync.core.tally import Mark
    from tablesync.replay.replay import Replay

__all__ = ["Lack", "Pair", "PairKind", "Pairing", "pairing_of"]

FARTHEST_MS = 60_000
"""Like entries that are farther apart tell of two acts."""


class PairKind(Enum):
    """How two entries belong together."""

    ALIKE = auto()
    DIFFERING = auto()
    """One act, entered differently: a finding."""
    LATE = auto()
    """The second was entered when a finding had pointed out that it lacked."""


@dataclass(frozen=True, slots=True)
class Pair:
    """Two entries of different seats that tell of one act."""

    one: EntryId
    """The book's; with a visiting book, that of the seat first in `Replay.seats`."""
    other: EntryId
    kind: PairKind


@dataclass(frozen=True, slots=True)
class Lack:
    """An entry whose like was missing from a seat's record when it was found."""

    entry: EntryId
    seat: Seat
    """The seat that lacked it."""
    finding: str


@dataclass(frozen=True, slots=True)
class Pairing:
    """What belongs together, and what was missing."""

    pairs: tuple[Pair, ...]
    lacks: tuple[Lack, ...]


@dataclass(frozen=True, slots=True)
class _Marked:
    """An entry that counts, with its mark and its time."""

    id: EntryId
    seat: Seat
    mark: Mark
    at_ms: int


def pairing_of(replay: Replay) -> Pairing:
    """What belongs together in the end, between the first seat and each other one."""
    pairs: list[Pair] = []
    lacks: list[Lack] = []
    for finding, ended_by in _findings(replay):
        pairs += _pairs_of(replay, finding, ended_by)
        lacks += _lacks_of(finding)
    named = {id_ for pair in pairs for id_ in (pair.one, pair.other)}
    named |= {lack.entry for lack in lacks}
    marked = [one for one in _marked(replay) if one.id not in named]
    first, *others = replay.seats
    for seat in others:
        ones = [one for one in marked if one.seat is first]
        pairs += _in_order(ones, [one for one in marked if one.seat is seat])
    return Pairing(tuple(pairs), tuple(lacks))


def _findings(replay: Replay) -> Iterator[tuple[Finding, Entry | None]]:
    """Every finding as it stood last, and the entry that made the records agree."""
    last: dict[str, Finding] = {}
    ended_by: dict[str, Entry] = {}
    newest: EntryStep | None = None
    for step in replay.steps:
        match step:
            case EntryStep():
                newest = step
            case FindingStep(event=event, finding=finding):
                last[finding.id] = finding
                has_agreed = isinstance(event, Cleared) and event.how is How.AGREED
                if has_agreed and newest is not None and newest.at_ms == step.at_ms:
                    ended_by[finding.id] = newest.entry
            case _:
                pass
    return ((finding, ended_by.get(id_)) for id_, finding in last.items())


def _pairs_of(
    replay: Replay, finding: Finding, ended_by: Entry | None
) -> Iterator[Pair]:
    ids = [id_ for _, id_ in finding.entries if id_ is not None]
    if len(ids) > 1:
        yield from (Pair(ids[0], id_, PairKind.DIFFERING) for id_ in ids[1:])
    elif ids and ended_by is not None:
        entry = replay.history[ids[0]]
        is_added = _mark(entry, replay) == _mark(ended_by, replay)
        if ended_by.seat is not entry.seat and is_added:
            in_order = sorted(
                (entry, ended_by), key=lambda e: replay.seats.index(e.seat)
            )
            yield Pair(in_order[0].id, in_order[1].id, PairKind.LATE)


def _lacks_of(finding: Finding) -> Iterator[Lack]:
    match finding.cause:
        case Cause.ONLY_IN_BOOK | Cause.ONLY_ON_BOARD | Cause.PERIOD_DIFFERS:
            ids = [id_ for _, id_ in finding.entries if id_ is not None]
            lacking = [seat for seat, id_ in finding.entries if id_ is None]
            if len(ids) == 1:
                yield from (Lack(ids[0], seat, finding.id) for seat in lacking)
        case _:
            pass


def _mark(entry: Entry, replay: Replay) -> Mark | None:
    act = entry.act
    if isinstance(act, Correction) and act.act is not None:
        act = act.act
    return mark_of(act, replay.rules)


def _marked(replay: Replay) -> Iterator[_Marked]:
    for seat, record in replay.end.records:
        for standing in record.record.standing():
            mark = mark_of(standing.act, replay.rules)
            if mark is not None:
                yield _Marked(standing.entry.id, seat, mark, standing.at_ms)


def _in_order(ones: list[_Marked], others: list[_Marked]) -> Iterator[Pair]:
    """Like entries, the first with the first, unless they are too far apart."""
    waiting: dict[Mark, list[_Marked]] = {}
    for other in sorted(others, key=lambda one: one.at_ms):
        waiting.setdefault(other.mark, []).append(other)
    for one in sorted(ones, key=lambda one: one.at_ms):
        like = waiting.get(one.mark, [])
        while like and like[0].at_ms < one.at_ms - FARTHEST_MS:
            like.pop(0)
        if like and like[0].at_ms <= one.at_ms + FARTHEST_MS:
            yield Pair(one.id, like.pop(0).id, PairKind.ALIKE)
