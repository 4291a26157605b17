"""What was put right within a span of time, and whose fouls it concerned.

A foul given to the wrong player leaves both records alike: no finding tells of it. What
tells of it is that an entry was struck out, and that another came after it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.act_subjects import target_of
from tablesync.core.acts import Correction, Foul, Side
from tablesync.core.book import Book
from tablesync.frozen import dataclass
from tablesync.replay.lines import Narrator
from tablesync.replay.moment_table import Row
from tablesync.replay.replay import EntryStep
from tablesync.replay.wording import seat_words

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from tablesync.core.acts import Act
    from tablesync.core.entries import Entry
    from tablesync.replay.replay import Moment, Replay

__all__ = ["ChargedAnew", "charged_anew", "foul_rows"]


@dataclass(frozen=True, slots=True)
class ChargedAnew:
    """What was put right within some steps of a replay."""

    positions: frozenset[int]
    """The steps in question: what was struck out, by what, and what came after it."""
    sentences: tuple[str, ...]
    players: tuple[tuple[Side, str], ...]
    """Whose fouls were struck out or entered anew, by team and number."""


def charged_anew(replay: Replay, positions: Sequence[int]) -> ChargedAnew:
    """Looks through these steps for entries that reach back to others."""
    narrator = Narrator(replay)
    steps = {position: replay.steps[position - 1] for position in positions}
    entered = {p: s.entry for p, s in steps.items() if isinstance(s, EntryStep)}
    at = {entry.id: position for position, entry in entered.items()}
    concerned: set[int] = set()
    sentences: list[str] = []
    for position, entry in entered.items():
        target = target_of(entry.act)
        if target is None or not replay.history.holds(target):
            continue
        struck = replay.history[target]
        later = [e for p, e in entered.items() if p > position]
        after = next((one for one in later if _is_like(one, struck)), None)
        anew = [] if after is None else [at[after.id]]
        concerned |= {position, *anew, *([at[target]] if target in at else [])}
        seconds = (entry.table_time_ms - struck.table_time_ms) / 1_000
        sentences.append(
            f"At {narrator.moment(entry.table_time_ms)} the {seat_words(entry.seat)} "
            f"{narrator.line(position).text}, {seconds:.0f} s after it was entered."
        )
        if after is not None:
            sentences.append(
                f"At {narrator.moment(after.table_time_ms)} the "
                f"{seat_words(after.seat)} then entered "
                f"#{narrator.number(after)} {narrator.entry(after)}."
            )
    return ChargedAnew(
        frozenset(concerned),
        tuple(sentences),
        tuple(dict.fromkeys(_players(entered[p].act for p in sorted(concerned)))),
    )


def _is_like(entry: Entry, struck: Entry) -> bool:
    """Whether an entry is of the kind that was struck out, by the same official."""
    is_same_seat = entry.seat is struck.seat
    return is_same_seat and type(entry.act) is type(struck.act)


def _players(acts: Iterator[Act]) -> Iterator[tuple[Side, str]]:
    for act in acts:
        match act:
            case Foul(side=side, number=str() as number):
                yield side, number
            case Correction(act=Foul(side=side, number=str() as number)):
                yield side, number
            case _:
                pass


def foul_rows(
    replay: Replay, moment: Moment, players: Sequence[tuple[Side, str]]
) -> tuple[Row, ...]:
    """How many fouls each of these players had at a moment, by each book."""
    rows = []
    for side, number in players:
        cells = tuple(
            str(len(record.pages[side].line(number).fouls))
            if isinstance(record, Book)
            else "does not keep them"
            for record in (moment.records[seat] for seat in replay.seats)
        )
        colour = replay.sheet.teams[side].colour
        rows.append(Row(f"fouls, {colour} {number}", cells, differs=False))
    return tuple(rows)
