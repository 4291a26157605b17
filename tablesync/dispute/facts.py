"""The facts of a report: who did what when, and when the others had it."""

from __future__ import annotations

from enum import Enum, auto
from typing import TYPE_CHECKING

from tablesync.core.acts import (
    Answer,
    Answered,
    ClosePeriod,
    LetStand,
    Protest,
    Shown,
    SignOff,
)
from tablesync.core.finding_words import how_words
from tablesync.core.findings import Raised
from tablesync.frozen import dataclass
from tablesync.plain_text import printable
from tablesync.replay.finding_spans import answers_to
from tablesync.replay.lines import Narrator
from tablesync.replay.receipts import receipts_of, stretches_apart, with_all_until
from tablesync.replay.replay import EntryStep, FindingStep
from tablesync.replay.wording import seat_words

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tablesync.core.acts import Act, Seat
    from tablesync.core.entries import Entry
    from tablesync.replay.finding_spans import Span
    from tablesync.replay.receipts import Receipt
    from tablesync.replay.replay import Replay

__all__ = ["Fact", "Facts", "Weight"]


class Weight(Enum):
    """What a fact is to the report."""

    IN_QUESTION = auto()
    AROUND = auto()
    """It helps to understand the others."""


@dataclass(frozen=True, slots=True)
class Fact:
    """One thing that happened."""

    weight: Weight
    moment: str
    """Period and clock."""
    at_s: float
    """Seconds since the first entry."""
    number: int | None
    """Of an entry: its number in the common order."""
    who: str
    what: str
    reached: tuple[str, ...]
    """When each other seat is shown to have had it."""


class Facts:
    """Tells the facts of one replay."""

    def __init__(self, replay: Replay) -> None:
        self._replay = replay
        self._narrator = Narrator(replay)

    def fact(self, position: int, weight: Weight) -> Fact:
        """The step right before a position."""
        line = self._narrator.line(position)
        step = self._replay.steps[position - 1]
        reached: tuple[str, ...] = ()
        if isinstance(step, EntryStep):
            receipts = receipts_of(self._replay, step.entry)
            reached = tuple(map(self._reached, receipts))
        elif isinstance(step, FindingStep) and isinstance(step.event, Raised):
            reached = tuple(self._had_both(s, step.at_ms) for s in self._replay.seats)
        return Fact(
            weight, line.moment, line.at_s, line.number, line.who, line.text, reached
        )

    def _reached(self, receipt: Receipt) -> str:
        seat = seat_words(receipt.seat)
        if receipt.by is None or receipt.after_ms is None:
            if not receipt.without:
                return f"{seat}: entered nothing after it"
            entries = "entry" if receipt.without == 1 else "entries"
            return f"{seat}: unknown to its {receipt.without} later {entries}"
        number = self._narrator.number(receipt.by)
        known = f"{seat}: known to #{number}, {receipt.after_ms / 1000:.1f} s later"
        return f"{known}, not to {receipt.without} before" if receipt.without else known

    def _had_both(self, seat: Seat, at_ms: int) -> str:
        """By when a seat's device can have found what both records show together."""
        entry = with_all_until(self._replay, seat, at_ms)
        if entry is None:
            return f"{seat_words(seat)}: not shown to have had both records"
        return (
            f"{seat_words(seat)}: had both records by #{self._narrator.number(entry)}"
        )

    def about(self, span: Span) -> tuple[str, ...]:
        """When a finding was found, who was shown it, what was answered, its end."""
        found = self._narrator.moment(span.from_ms)
        sentences = [
            f"Laid side by side, the records differ beyond doubt from {found}."
        ]
        sentences += [self._could_see(seat, span) for seat in self._replay.seats]
        sentences += list(self._showings(span.finding.id)) or [
            "No entry says that a device showed it to its official."
        ]
        sentences += map(self._answer, answers_to(self._replay, span.finding.id))
        if span.to_ms is None or span.how is None:
            sentences.append("It was open at the end of the record.")
        else:
            over = self._narrator.moment(span.to_ms)
            sentences.append(f"It was over at {over}: {how_words(span.how)}.")
        return tuple(sentences)

    def _could_see(self, seat: Seat, span: Span) -> str:
        who = f"The {seat_words(seat)}'s device"
        entry = with_all_until(self._replay, seat, span.from_ms)
        if entry is None:
            return f"{who} is not shown to have had the other record up to then."
        at = self._narrator.moment(self._replay.history.place(entry).time_ms)
        number = self._narrator.number(entry)
        return f"{who} had the other record up to then by its entry #{number} at {at}."

    def _showings(self, id_: str) -> Iterator[str]:
        for at_ms, entry in self._entries():
            match entry.act:
                case Shown(subject=subject, text=text) if subject == id_:
                    yield printable(
                        f"At {self._narrator.moment(at_ms)} the "
                        f"{seat_words(entry.seat)}'s device showed its official: "
                        f'"{text}"'
                    )
                case _:
                    pass

    def _answer(self, entry: Entry) -> str:
        who = f"the {seat_words(entry.seat)}'s official"
        at = self._narrator.moment(self._replay.history.place(entry).time_ms)
        return printable(f"At {at} {who} {_answer_words(entry.act)}.")

    def apart(self, from_ms: int, to_ms: int) -> tuple[str, ...]:
        """When, within these times, a seat was without what the other entered."""
        return tuple(
            f"From {self._narrator.moment(one.from_ms)} to "
            f"{self._narrator.moment(one.to_ms)} the {seat_words(seat)} entered "
            f"{one.entries} times without having what the other had entered by then."
            for seat in self._replay.seats
            for one in stretches_apart(self._replay, seat)
            if one.from_ms <= to_ms and one.to_ms >= from_ms
        )

    def signed(self) -> tuple[str, ...]:
        """The close-outs, signatures and protests of the whole game, in order."""
        return tuple(self._signed())

    def _signed(self) -> Iterator[str]:
        for position, step in enumerate(self._replay.steps, start=1):
            if not isinstance(step, EntryStep):
                continue
            line = self._narrator.line(position)
            told = f"{line.moment} {line.who}: {line.text}"
            match step.entry.act:
                case ClosePeriod():
                    tally = self._replay.moment(position).tally(step.entry.seat)
                    yield f"{told}, at {tally.score.home}:{tally.score.away}"
                case SignOff() | Protest():
                    yield told
                case _:
                    pass

    def _entries(self) -> Iterator[tuple[int, Entry]]:
        for step in self._replay.steps:
            if isinstance(step, EntryStep):
                yield step.at_ms, step.entry


def _answer_words(act: Act) -> str:
    match act:
        case Answered(answer=Answer.HELD):
            return "held it for the referees"
        case LetStand(reason=reason):
            return f"let it stand: {reason}"
        case _:
            return "said that it was put right"
