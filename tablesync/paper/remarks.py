"""What a score sheet has to say in words: corrections with their errors, and notes."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from tablesync.core.act_words import act_words
from tablesync.core.acts import (
    Answered,
    Correction,
    LetStand,
    Note,
    Protest,
    Shown,
    Unavailable,
)
from tablesync.core.close_out import changed_after_close, close_out
from tablesync.frozen import dataclass
from tablesync.paper.subject import capital

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Mapping

    from tablesync.core.acts import Act, EntryId
    from tablesync.core.entries import Entry
    from tablesync.core.seat_record import Corrected, SeatRecord
    from tablesync.paper.subject import Subject

__all__ = ["Remarks", "remarks"]


@dataclass(frozen=True, slots=True)
class Remarks:
    """One list of them."""

    title: str
    paragraphs: tuple[str, ...]


def remarks(subject: Subject) -> tuple[Remarks, ...]:
    """The lists of a game; but for the book's corrections none that is empty."""
    lists = [Remarks("Found at the close-out", tuple(_problems(subject)))]
    for name, record in _records(subject).items():
        lists.append(_correction_list(subject, name, record))
    lists.append(Remarks("Notes and protests", tuple(_notes(subject))))
    too_late = tuple(_too_late(subject))
    lists.append(Remarks("Entered after the referee had signed", too_late))
    filled = tuple(one for one in lists if one.paragraphs)
    return filled or (Remarks("Corrections", (subject.figure("none"),)),)


def _records(subject: Subject) -> Mapping[str, SeatRecord]:
    game = subject.game
    records = {"book": game.book.record}
    if game.seated_board is not None:
        records["board"] = game.seated_board.record
    return records


def _words(subject: Subject, act: Act) -> str:
    return act_words(act, subject.game.sheet, subject.game.rules)


def _problems(subject: Subject) -> Iterator[str]:
    game = subject.game
    if not game.book.tally.period:
        return
    found = close_out(game.sheet, game.rules, game.book, game.seated_board).problems
    for problem, times in Counter(map(str, found)).items():
        yield problem if times == 1 else f"{problem} ({times} times)"


def _correction_list(subject: Subject, name: str, record: SeatRecord) -> Remarks:
    late = {change.corrected.entry.id for change in changed_after_close(record)}
    star = " (* after the period had been closed)" if late else ""
    corrections = tuple(_corrections(subject, record, late))
    return Remarks(f"Corrections of the {name}{star}", corrections)


def _corrections(
    subject: Subject, record: SeatRecord, late: Collection[EntryId]
) -> Iterator[str]:
    entries = {entry.id: entry for entry in record}
    for number, corrected in enumerate(record.corrections, start=1):
        was, now = _error(subject, corrected, entries), _remedy(subject, corrected)
        at = subject.moment(corrected.entry.table_time_ms)
        star = "*" if corrected.entry.id in late else ""
        yield f"{number}. {was}. {now}, {at}{star}{_reason(corrected)}"


def _error(
    subject: Subject, corrected: Corrected, entries: Mapping[EntryId, Entry]
) -> str:
    """What was wrong, and when that was."""
    if corrected.target is not None:
        error = entries[corrected.target]
        at = subject.moment(error.table_time_ms)
        return f"{at}, {_words(subject, error.act)}"
    act = corrected.entry.act
    assert isinstance(act, Correction)
    assert act.at_ms is not None
    return f"{subject.moment(act.at_ms)}, left out"


def _remedy(subject: Subject, corrected: Corrected) -> str:
    if corrected.act is None:
        return "Struck out"
    return f"Now {_words(subject, corrected.act)}"


def _reason(corrected: Corrected) -> str:
    reason = f" ({corrected.reason})" if corrected.reason else ""
    return reason if corrected.in_force else f"{reason}; undone again"


def _notes(subject: Subject) -> Iterator[str]:
    for name, record in _records(subject).items():
        for line in record.standing():
            match line.act:
                case Note() | Protest() | Unavailable() | LetStand():
                    said = capital(_words(subject, line.act))
                    yield f"{said} ({name}, {subject.moment(line.at_ms)})"
                case _:
                    pass


def _too_late(subject: Subject) -> Iterator[str]:
    for name, record in _records(subject).items():
        for entry in record.too_late:
            if not isinstance(entry.act, Shown | Answered):
                yield f"{name}, without effect: {_words(subject, entry.act)}"
