"""The facts about one mismatch or one span of time, in order and without judgement.

A report is made for somebody who was not there: what each seat entered and when the
other had it, when the mismatch was found and shown, what was done about it and why, and
how the records stood. Who was right is not for the program to say.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from tablesync.core.acts import (
    ClosePeriod,
    Note,
    OpenPeriod,
    Protest,
    Side,
    TimeOut,
)
from tablesync.core.finding_words import item_words
from tablesync.core.findings import Cause
from tablesync.dispute.charged_anew import charged_anew, foul_rows
from tablesync.dispute.facts import Fact, Facts, Weight
from tablesync.errors import BadInputError
from tablesync.frozen import dataclass
from tablesync.plain_text import printable
from tablesync.record.assurance import not_shown, shown
from tablesync.replay.filter import Filter, selected
from tablesync.replay.finding_spans import spans_of
from tablesync.replay.lines import Narrator
from tablesync.replay.moment_table import moment_rows
from tablesync.replay.moments import moment_words
from tablesync.replay.replay import EntryStep, Replay
from tablesync.replay.wording import seat_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tablesync.core.findings import Finding
    from tablesync.dispute.charged_anew import ChargedAnew
    from tablesync.record.verification import OpenedRecord
    from tablesync.replay.moment_table import Row
    from tablesync.replay.replay import Moment, Step

__all__ = [
    "Dispute",
    "Standing",
    "dispute_over_finding",
    "dispute_over_span",
]

BEFORE_MS = 20_000
AFTER_MS = 20_000
"""How much of what came before and after belongs to the facts about a finding."""


@dataclass(frozen=True, slots=True)
class Standing:
    """How the records stood at one moment."""

    heading: str
    seats: tuple[str, ...]
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class Dispute:
    """A report, ready for any kind of paper."""

    title: str
    game: tuple[str, ...]
    """Who played, where and when, under which rules; a line each."""
    question: str
    told: tuple[str, ...]
    """When it was found, who was shown it, what was answered and how it ended."""
    facts: tuple[Fact, ...]
    standings: tuple[Standing, ...]
    signed: tuple[str, ...]
    """The close-outs, signatures and protests of the whole game."""
    shown: tuple[str, ...]
    """What the record shows by itself."""
    not_shown: tuple[str, ...]
    fingerprint: str
    """Of the record file, 64 hex digits."""
    positions: tuple[int, ...]
    """The steps for the chart."""
    at_ms: int | None
    """The moment for the chart."""


def dispute_over_finding(opened: OpenedRecord, replay: Replay, id_: str) -> Dispute:
    """The report on a finding.

    Raises:
        BadInputError: there was no such finding.
    """
    spans = {span.finding.id: span for span in spans_of(replay)}
    if id_ not in spans:
        known = ", ".join(spans) or "none to be asked"
        raise BadInputError("--finding", f"there was no finding {id_!r}", known)
    span = spans[id_]
    concerned = selected(replay, Filter(finding=id_))
    times = [replay.steps[position - 1].at_ms for position in concerned]
    window = Filter(from_ms=times[0] - BEFORE_MS, to_ms=times[-1] + AFTER_MS)
    around = selected(replay, window)
    facts = Facts(replay)
    in_view = sorted({*concerned, *_context(replay, span.finding, around)})
    return Dispute(
        title=_title(replay, span.finding),
        game=_game(replay),
        question=printable(span.finding.text),
        told=(*facts.about(span), *facts.apart(times[0], times[-1])),
        facts=tuple(
            facts.fact(
                position,
                Weight.IN_QUESTION if position in concerned else Weight.AROUND,
            )
            for position in in_view
        ),
        standings=(
            _standing(replay, concerned[0] - 1, "before"),
            _standing(
                replay,
                replay.position_at(span.from_ms),
                "when they differ beyond doubt",
            ),
            _standing(replay, around[-1], "after"),
        ),
        signed=facts.signed(),
        shown=shown(opened),
        not_shown=not_shown(opened),
        fingerprint=opened.fingerprint,
        positions=around,
        at_ms=span.from_ms,
    )


def dispute_over_span(
    opened: OpenedRecord, replay: Replay, from_ms: int, to_ms: int
) -> Dispute:
    """The report on everything from one table time to another."""
    positions = selected(replay, Filter(from_ms=from_ms, to_ms=to_ms))
    begin, end = (
        moment_words(replay.reading(at_ms), replay.rules) for at_ms in (from_ms, to_ms)
    )
    facts = Facts(replay)
    told = [
        sentence
        for span in spans_of(replay)
        if span.from_ms <= to_ms and (span.to_ms is None or span.to_ms >= from_ms)
        for sentence in (printable(span.finding.text), *facts.about(span))
    ]
    last = positions[-1] if positions else replay.position_at(to_ms)
    anew = charged_anew(replay, positions)
    return Dispute(
        title=f"{begin} to {end}",
        game=_game(replay),
        question="What was entered, and when did the other seat have it?",
        told=(
            *(told or ["The check of the records found no difference."]),
            *map(printable, anew.sentences),
            *facts.apart(from_ms, to_ms),
        ),
        facts=tuple(
            facts.fact(
                position,
                Weight.IN_QUESTION if position in anew.positions else Weight.AROUND,
            )
            for position in positions
        ),
        standings=tuple(
            _with_fouls(replay, position, heading, anew)
            for position, heading in (
                (replay.position_at(from_ms - 1), "before"),
                (last, "after"),
            )
        ),
        signed=facts.signed(),
        shown=shown(opened),
        not_shown=not_shown(opened),
        fingerprint=opened.fingerprint,
        positions=positions,
        at_ms=None,
    )


def _context(replay: Replay, finding: Finding, around: Sequence[int]) -> list[int]:
    """The steps around a finding that help to understand it."""
    sides: tuple[Side | None, ...] = (finding.side,)
    if finding.cause is Cause.SIDES_DIFFER:
        sides = tuple(Side)
    alike = {
        position
        for side in sides
        for position in selected(replay, Filter(item=finding.item, side=side))
    }
    return [
        position
        for position in around
        if position in alike or _helps(replay.steps[position - 1])
    ]


def _helps(step: Step) -> bool:
    """Whether a step helps to understand any mismatch."""
    return isinstance(step, EntryStep) and isinstance(
        step.entry.act, OpenPeriod | ClosePeriod | TimeOut | Note | Protest
    )


def _title(replay: Replay, finding: Finding) -> str:
    what = item_words(finding.item)
    if finding.side is not None:
        what += f" of {replay.sheet.teams[finding.side].name}"
    at = moment_words(replay.reading(finding.raised_at_ms), replay.rules)
    return printable(f"{what[0].upper()}{what[1:]}, {at}")


def _game(replay: Replay) -> tuple[str, ...]:
    sheet = replay.sheet
    home, away = sheet.teams.home, sheet.teams.away
    place = [sheet.venue, f"court {sheet.court}" if sheet.court else "", sheet.date]
    officials = [f"{one.role} {one.name}".strip() for one in sheet.officials]
    lines = [
        f"{home.name} ({home.colour}) against {away.name} ({away.colour})",
        " · ".join(part for part in place if part),
        f"Rules: {replay.rules.title}",
        f"Officials: {', '.join(officials)}" if officials else "",
    ]
    return tuple(printable(line) for line in lines if line)


def _with_fouls(
    replay: Replay, position: int, heading: str, anew: ChargedAnew
) -> Standing:
    """How the records stood, with the fouls of those whose fouls were put right."""
    moment = replay.moment(position)
    standing = _standing_at(replay, moment, heading)
    fouls = foul_rows(replay, moment, anew.players)
    return replace(standing, rows=(*fouls, *standing.rows))


def _standing(replay: Replay, position: int, heading: str) -> Standing:
    return _standing_at(replay, replay.moment(position), heading)


def _standing_at(replay: Replay, moment: Moment, heading: str) -> Standing:
    at = moment_words(replay.reading(moment.at_ms), replay.rules)
    return Standing(
        f"{heading}, {at}",
        tuple(seat_words(seat) for seat in replay.seats),
        moment_rows(replay, Narrator(replay), moment),
    )
