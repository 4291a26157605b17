"""All records side by side at one moment, as rows of a table."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.acts import Side
from tablesync.core.tally import Item
from tablesync.frozen import dataclass
from tablesync.plain_text import printable

if TYPE_CHECKING:
    from tablesync.core.acts import Seat
    from tablesync.core.tally import PerSide, Tally
    from tablesync.replay.lines import Narrator
    from tablesync.replay.replay import Moment, Replay
    from tablesync.replay.wording import Wording

__all__ = ["Row", "moment_rows"]


@dataclass(frozen=True, slots=True)
class Row:
    """One thing, as every seat has it."""

    label: str
    cells: tuple[str, ...]
    """In the order of the replay's seats."""
    differs: bool
    """Whether the records should be alike here and are not."""


def moment_rows(replay: Replay, narrator: Narrator, moment: Moment) -> tuple[Row, ...]:
    """The tally of every seat, what each had received, and what it entered last."""
    words, rows = narrator.wording, []
    for item in Item:
        cells = tuple(
            _cell(item, moment.tally(seat), replay, words) for seat in replay.seats
        )
        rows.append(Row(words.item(item), cells, differs=len(set(cells)) > 1))
    received = tuple(_received(replay, moment, seat, words) for seat in replay.seats)
    last = tuple(_last(narrator, moment, seat) for seat in replay.seats)
    return (
        *rows,
        Row(words.received, received, differs=False),
        Row(words.last, last, differs=False),
    )


def _cell(item: Item, tally: Tally, replay: Replay, words: Wording) -> str:
    match item:
        case Item.SCORE:
            return _pair(tally.score)
        case Item.TEAM_FOULS:
            home, away = (tally.fouls_in(tally.period, side) for side in Side)
            return f"{home}:{away}"
        case Item.TIME_OUTS:
            return _pair(tally.time_outs)
        case Item.PERIOD:
            period = tally.period
            return words.period(period, replay.rules) if period else words.no_period
        case Item.ARROW:
            if tally.arrow is None:
                return words.no_arrow
            return printable(replay.sheet.teams[tally.arrow].name)


def _pair(pair: PerSide[int]) -> str:
    return f"{pair.home}:{pair.away}"


def _received(replay: Replay, moment: Moment, seat: Seat, words: Wording) -> str:
    received = moment.others[seat]
    others = tuple(other for other in replay.seats if other is not seat)
    return words.received_of(others, received.count, received.of)


def _last(narrator: Narrator, moment: Moment, seat: Seat) -> str:
    entry = moment.last[seat]
    if entry is None:
        return narrator.wording.nothing_yet
    words = printable(narrator.entry(entry))
    return f"{narrator.moment(entry.table_time_ms)} {words}"
