"""One team's part of a score sheet."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.chart.drawing import Anchor
from tablesync.paper.cells import Block, Frame
from tablesync.paper.player_table import player_table
from tablesync.paper.team_counts import COUNTS_HEIGHT, team_counts
from tablesync.paper.typesetting import Style

if TYPE_CHECKING:
    from tablesync.core.acts import Side
    from tablesync.paper.area import Area
    from tablesync.paper.cells import Cell
    from tablesync.paper.subject import Subject

__all__ = ["HEAD_HEIGHT", "team_block"]

HEAD_HEIGHT = 8.4
SCORE_WIDTH = 16.0


def team_block(subject: Subject, side: Side, area: Area, rows: int) -> Block:
    """A team with so many rows for its players."""
    table = area.height - HEAD_HEIGHT - COUNTS_HEIGHT
    head, middle, counts = area.rows([HEAD_HEIGHT, table, COUNTS_HEIGHT])
    page = subject.game.book.pages[side]
    cells = (
        *_head(subject, side, head),
        *player_table(subject, page, middle, rows),
        *team_counts(subject, side, counts),
    )
    return Block(str(side), area, cells)


def _head(subject: Subject, side: Side, area: Area) -> list[Cell]:
    team = subject.game.sheet.teams[side]
    left, right = area.columns([area.width - SCORE_WIDTH, SCORE_WIDTH])
    upper, lower = left.rows([4.9, 3.1])
    score = right.rows([area.height - 0.8])[0]
    coach = f"coach {team.coach}" if team.coach else "coach"
    figure = subject.figure(subject.game.book.tally.score[side])
    size = Style(18, bold=True, anchor=Anchor.MIDDLE)
    return [
        subject.cell(upper, team.name, Style(12, bold=True)),
        subject.cell(lower, f"{team.colour} · {coach}", Style(7)),
        subject.cell(score, figure, size, Frame.PLAIN),
    ]
