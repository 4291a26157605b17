"""The head of a score sheet: who played whom, the score, where, and who officiated."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.chart.drawing import Anchor, Ink
from tablesync.core.acts import Side
from tablesync.paper.cells import Block, Frame
from tablesync.paper.typesetting import Style

if TYPE_CHECKING:
    from tablesync.paper.area import Area
    from tablesync.paper.cells import Cell
    from tablesync.paper.subject import Subject

__all__ = ["HEADING_HEIGHT", "heading_block", "score_words"]

HEADING_HEIGHT = 14.0
OFFICIALS_WIDTH = 84.0
OFFICIALS_A_COLUMN = 3


def heading_block(subject: Subject, area: Area) -> Block:
    """The head of the sheet."""
    left, right = area.columns([area.width - OFFICIALS_WIDTH, OFFICIALS_WIDTH])
    upper, middle, lower = left.rows([6.6, 3.7, 3.7])
    sheet, rules = subject.game.sheet, subject.game.rules
    court = f"court {sheet.court}" if sheet.court else ""
    place = [sheet.title, sheet.venue, court, sheet.date]
    bench = f"bench on the left: {sheet.teams[sheet.left].name}"
    arrow = subject.game.book.tally.arrow
    points = f"arrow to {sheet.colour(arrow)}" if arrow is not None else ""
    return Block(
        "heading",
        area,
        (
            subject.cell(upper, score_words(subject), Style(15, bold=True)),
            subject.cell(middle, _joined(place), Style(8)),
            subject.cell(lower, _joined([rules.title, bench, points]), Style(8)),
            *_officials(subject, right),
        ),
    )


def score_words(subject: Subject) -> str:
    """The teams with the score between them, or without where nothing is played."""
    home, away = (subject.game.sheet.teams[side].name for side in Side)
    if not subject.game.book.tally.period:
        return f"{home} v {away}"
    score = subject.game.book.tally.score
    return f"{home} {score.home} : {score.away} {away}"


def _joined(parts: list[str]) -> str:
    return " · ".join(part for part in parts if part)


def _officials(subject: Subject, area: Area) -> list[Cell]:
    officials = subject.game.sheet.officials
    columns = max(2, -(-len(officials) // OFFICIALS_A_COLUMN))
    cells = []
    for number, column in enumerate(area.alike(columns, gap=2)):
        lines = column.rows([area.height / OFFICIALS_A_COLUMN] * OFFICIALS_A_COLUMN)
        first = number * OFFICIALS_A_COLUMN
        for place, line in enumerate(lines):
            role, name = "", ""
            if first + place < len(officials):
                official = officials[first + place]
                role, name = official.role, official.name
            cells += _official(subject, line, role, name)
    return cells


def _official(subject: Subject, area: Area, role: str, name: str) -> list[Cell]:
    """A role in small letters, and the name over a line to write on."""
    left, right = area.columns([area.width * 0.3, area.width * 0.7])
    small = Style(6, anchor=Anchor.END, ink=Ink.QUIET)
    return [
        subject.cell(left, role, small),
        subject.cell(right.inside(0.3), name, Style(8), Frame.FAINT),
    ]
