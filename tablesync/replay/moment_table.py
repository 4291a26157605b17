"""All records side by side at one moment, as rows of a table."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from tablesync.core.acts import Side
from tablesync.core.finding_words import item_words
from tablesync.core.tally import Item
from tablesync.plain_text import printable
from tablesync.replay.lines import seat_words
from tablesync.replay.moments import period_words

if TYPE_CHECKING:
    from tablesync.core.acts import Seat
    from tablesync.core.tally import PerSide, Tally
    from tablesync.replay.lines import Narrator
    from tablesync.replay.replay import Moment, Replay

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
    rows = []
    for item in Item:
        cells = tuple(_cell(item, moment.tally(seat), replay) for seat in replay.seats)
        rows.append(Row(item_words(item), cells, differs=len(set(cells)) > 1))
    received = tuple(_received(replay, moment, seat) for seat in replay.seats)
    last = tuple(_last(narrator, moment, seat) for seat in replay.seats)
    return (
        *rows,
        Row("had received", received, differs=False),
        Row("last entered", last, differs=False),
    )


def _cell(item: Item, tally: Tally, replay: Replay) -> str:
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
            return period_words(period, replay.rules) if period else "none yet"
        case Item.ARROW:
            arrow = tally.arrow
            return printable(replay.sheet.teams[arrow].name) if arrow else "not set"


def _pair(pair: PerSide[int]) -> str:
    return f"{pair.home}:{pair.away}"


def _received(replay: Replay, moment: Moment, seat: Seat) -> str:
    received = moment.others[seat]
    others = [seat_words(other) for other in replay.seats if other is not seat]
    whose = f"{others[0]}'s" if len(others) == 1 else "others'"
    return f"{received.count} of the {whose} {received.of} entries"


def _last(narrator: Narrator, moment: Moment, seat: Seat) -> str:
    entry = moment.last[seat]
    if entry is None:
        return "nothing yet"
    words = printable(narrator.entry(entry))
    return f"{narrator.moment(entry.table_time_ms)} {words}"
