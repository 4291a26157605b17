"""The close-outs on a score sheet: what both teams had when each period was closed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.chart.drawing import Anchor, Ink
from tablesync.core.acts import ClosePeriod, Side
from tablesync.core.close_out import period_totals
from tablesync.paper.cells import Block, Cell, Frame
from tablesync.paper.typesetting import Style

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from tablesync.core.close_out import PeriodTotals
    from tablesync.core.seat_record import SeatRecord
    from tablesync.paper.area import Area
    from tablesync.paper.subject import Subject

__all__ = ["close_outs_block", "close_outs_height"]

TITLES_HEIGHT, HIGHEST_ROW, MOST_HEIGHT = 3.0, 4.3, 32.0
PERIOD_WIDTH, FIGURE_WIDTH = 12.0, 11.0
GROUPS = ("points", "score so far", "team fouls", "time-outs so far")

TITLE = Style(5.5, anchor=Anchor.MIDDLE, ink=Ink.QUIET)
FIGURE = Style(8, anchor=Anchor.MIDDLE)
PERIOD = Style(8, bold=True, anchor=Anchor.MIDDLE)
CLOSED = Style(7, anchor=Anchor.MIDDLE)


def close_outs_height(subject: Subject) -> float:
    """How high the table is; with very many periods its rows are lower."""
    rows = min(MOST_HEIGHT, len(subject.periods) * HIGHEST_ROW)
    return 2 * TITLES_HEIGHT + rows


def close_outs_block(subject: Subject, area: Area) -> Block:
    """A row for each period, empty for those that were not played."""
    periods = len(subject.periods)
    height = (close_outs_height(subject) - 2 * TITLES_HEIGHT) / periods
    groups, teams, *rows = area.rows(
        [TITLES_HEIGHT, TITLES_HEIGHT, *([height] * periods)]
    )
    cells = [*_groups(subject, groups), *_teams(subject, teams)]
    for period, row in zip(subject.periods, rows, strict=True):
        cells += _period(subject, row, period)
    return Block("close-outs", area, tuple(cells))


def _columns(row: Area) -> tuple[Area, list[Area], Area]:
    """The period, two figures for each group, and who has closed it."""
    figures = [FIGURE_WIDTH] * 2 * len(GROUPS)
    rest = row.width - PERIOD_WIDTH - sum(figures)
    period, *middle, closed = row.columns([PERIOD_WIDTH, *figures, rest])
    return period, middle, closed


def _groups(subject: Subject, row: Area) -> Iterator[Cell]:
    period, _, closed = _columns(row)
    yield subject.cell(period, "close-outs", TITLE)
    places = row.columns([PERIOD_WIDTH, *([2 * FIGURE_WIDTH] * len(GROUPS))])[1:]
    for title, place in zip(GROUPS, places, strict=True):
        yield subject.cell(place, title, TITLE)
    yield subject.cell(closed, "closed by", TITLE)


def _teams(subject: Subject, row: Area) -> Iterator[Cell]:
    _, figures, _ = _columns(row)
    for place, figure in enumerate(figures):
        side = tuple(Side)[place % 2]
        yield subject.cell(figure, subject.game.sheet.colour(side), TITLE)


def _period(subject: Subject, row: Area, period: int) -> Iterator[Cell]:
    label, figures, closed = _columns(row)
    game = subject.game
    yield subject.cell(label, subject.label(period), PERIOD, Frame.PLAIN)
    texts = [""] * len(figures)
    if period <= game.book.tally.period:
        totals = period_totals(game.book, period)
        home, away = _texts(totals.home), _texts(totals.away)
        texts = [text for pair in zip(home, away, strict=True) for text in pair]
    for text, figure in zip(texts, figures, strict=True):
        yield subject.cell(figure, text, FIGURE, Frame.PLAIN)
    records = {"book": game.book.record, "board": game.board.record}
    seats = [name for name, record in records.items() if _has_closed(record, period)]
    yield subject.cell(closed, ", ".join(seats), CLOSED, Frame.PLAIN)


def _texts(totals: PeriodTotals) -> Sequence[str]:
    figures = (totals.points, totals.score, totals.team_fouls, totals.time_outs)
    return [str(figure) for figure in figures]


def _has_closed(record: SeatRecord, period: int) -> bool:
    return any(
        isinstance(line.act, ClosePeriod) and line.act.period == period
        for line in record.standing()
    )
