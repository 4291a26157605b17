"""The players of a team on a score sheet, one a row, and their sums."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.chart.drawing import Anchor, Ink
from tablesync.core.acts import Charged
from tablesync.core.quarter_marks import QuarterMark, quarter_mark
from tablesync.core.sheet import shirt_order
from tablesync.frozen import dataclass
from tablesync.paper.cells import Cell, Frame, Sign
from tablesync.paper.foul_cells import foul_cells
from tablesync.paper.typesetting import Style, set_lines

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from tablesync.core.book_lines import PlayerLine
    from tablesync.core.team_page import TeamPage
    from tablesync.paper.area import Area
    from tablesync.paper.subject import Subject

__all__ = ["SUMS_HEIGHT", "TITLES_HEIGHT", "player_table"]

TITLES_HEIGHT, SUMS_HEIGHT = 3.4, 4.6
NUMBER_WIDTH, LEAST_NAME_WIDTH = 7.0, 18.0
MARK_WIDTH, FOUL_WIDTH, GAP = 4.3, 4.6, 1.2
FIGURE_WIDTHS = (5.2, 5.2, 9.3, 7.0)
FIGURE_TITLES = ("2s", "3s", "free throws", "points")

TITLE = Style(5, anchor=Anchor.MIDDLE, ink=Ink.QUIET)
FIGURE = Style(8, anchor=Anchor.MIDDLE)
SUM = Style(8, bold=True, anchor=Anchor.MIDDLE)
_SIGNS = {
    QuarterMark.BLANK: frozenset[Sign](),
    QuarterMark.SLASH: frozenset({Sign.SLASH}),
    QuarterMark.CROSS: frozenset({Sign.CROSS}),
    QuarterMark.CIRCLE: frozenset({Sign.RING}),
    QuarterMark.CIRCLED_SLASH: frozenset({Sign.RING, Sign.SLASH}),
}


@dataclass(frozen=True, slots=True)
class _Columns:
    """The parts of one row."""

    number: Area
    name: Area
    marks: Area
    fouls: Area
    figures: list[Area]


class _Table:
    """A team's table, of which every row has the same columns."""

    def __init__(self, subject: Subject, page: TeamPage) -> None:
        self._subject = subject
        self._page = page
        most = max((len(line.fouls) for line in page.lines.values()), default=0)
        self._foul_boxes = max(subject.game.rules.fouls.player_limit, most)

    def titles(self, row: Area) -> Iterable[Cell]:
        """What the columns are."""
        columns, periods = self._columns(row), self._subject.periods
        yield self._subject.cell(columns.number, "no.", TITLE)
        yield self._subject.cell(columns.name, "player (bold: starts)", TITLE)
        boxes = columns.marks.alike(len(periods))
        for period, box in zip(periods, boxes, strict=True):
            yield self._subject.cell(box, self._subject.label(period), TITLE)
        yield self._subject.cell(columns.fouls, "fouls", TITLE)
        for title, area in zip(FIGURE_TITLES, columns.figures, strict=True):
            yield self._subject.cell(area, title, TITLE)

    def player(self, row: Area, number: str) -> Iterable[Cell]:
        """A player's row."""
        columns, line = self._columns(row), self._page.lines[number]
        yield self._number(columns.number, line)
        yield self._name(columns.name, number)
        yield from self._marks(columns.marks, number)
        yield from foul_cells(
            self._subject, line.fouls, Charged.PLAYER, columns.fouls, self._foul_boxes
        )
        for figure, area in zip(_figures([line]), columns.figures, strict=True):
            text = self._subject.figure(figure)
            yield self._subject.cell(area, text, FIGURE, Frame.PLAIN)

    def blank(self, row: Area) -> Iterable[Cell]:
        """A row to be written on."""
        columns, periods = self._columns(row), self._subject.periods
        areas = [columns.number, columns.name, *columns.marks.alike(len(periods))]
        areas += [*columns.fouls.alike(self._foul_boxes), *columns.figures]
        return (Cell(area, frame=Frame.PLAIN) for area in areas)

    def sums(self, row: Area) -> Iterable[Cell]:
        """The sums of all rows."""
        columns, lines = self._columns(row), list(self._page.lines.values())
        fouls = sum(len(line.fouls) for line in lines)
        yield self._subject.cell(columns.name, "players together", TITLE)
        yield self._subject.cell(columns.fouls, self._fouls_in_words(fouls), SUM)
        for figure, area in zip(_figures(lines), columns.figures, strict=True):
            text = self._subject.figure(figure)
            yield self._subject.cell(area, text, SUM, Frame.PLAIN)

    def _fouls_in_words(self, number: int) -> str:
        words = f"{number} foul" if number == 1 else f"{number} fouls"
        return self._subject.figure(words)

    def _columns(self, row: Area) -> _Columns:
        marks = MARK_WIDTH * len(self._subject.periods)
        fouls = FOUL_WIDTH * self._foul_boxes
        room = row.width - NUMBER_WIDTH - GAP - sum(FIGURE_WIDTHS)
        shrink = min(1.0, (room - LEAST_NAME_WIDTH) / (marks + fouls))
        marks, fouls = marks * shrink, fouls * shrink
        name = room - marks - fouls
        widths = (NUMBER_WIDTH, name, marks, GAP, fouls, *FIGURE_WIDTHS)
        number, name_area, mark_area, _, foul_area, *figures = row.columns(widths)
        return _Columns(number, name_area, mark_area, foul_area, figures)

    def _number(self, area: Area, line: PlayerLine) -> Cell:
        kinds = [foul.kind for foul in line.fouls]
        if self._subject.game.rules.fouls.player_out_by(kinds) is None:
            return self._subject.cell(area, line.number, SUM, Frame.PLAIN)
        white = Style(8, bold=True, anchor=Anchor.MIDDLE, ink=Ink.PAPER)
        return self._subject.cell(area, line.number, white, Frame.BLACK)

    def _name(self, area: Area, number: str) -> Cell:
        player = self._page.team.player(number)
        if player is None:
            quiet = Style(7, ink=Ink.QUIET)
            return self._subject.cell(area, "not on the roster", quiet, Frame.PLAIN)
        style = Style(7.5, bold=player.starter)
        words = set_lines(player.name, area, style, self._subject.letters)
        return Cell(area, tuple(words), Frame.PLAIN)

    def _marks(self, area: Area, number: str) -> Iterable[Cell]:
        periods, style = self._subject.periods, self._subject.marks
        for period, box in zip(periods, area.alike(len(periods)), strict=True):
            mark = quarter_mark(self._page, number, period, style)
            yield Cell(box, frame=Frame.PLAIN, signs=_SIGNS[mark])


def player_table(subject: Subject, page: TeamPage, area: Area, rows: int) -> list[Cell]:
    """A team's table with so many rows, as high as the area lets them be.

    Args:
        subject: the game.
        page: the team's page of the book.
        area: where it goes.
        rows: at least as many as the page has lines; those that are left stay blank.
    """
    height = (area.height - TITLES_HEIGHT - SUMS_HEIGHT) / rows
    titles, *places, sums = area.rows([TITLES_HEIGHT, *([height] * rows), SUMS_HEIGHT])
    table = _Table(subject, page)
    numbers = sorted(page.lines, key=shirt_order)
    cells = [*table.titles(titles), *table.sums(sums)]
    for number, row in zip(numbers, places, strict=False):
        cells += table.player(row, number)
    for row in places[len(numbers) :]:
        cells += table.blank(row)
    return cells


def _figures(lines: Sequence[PlayerLine]) -> tuple[str, ...]:
    made = sum(line.ft_made for line in lines)
    attempted = sum(line.ft_attempted for line in lines)
    return (
        str(sum(line.goals2 for line in lines)),
        str(sum(line.goals3 for line in lines)),
        f"{made}/{attempted}",
        str(sum(line.points for line in lines)),
    )
