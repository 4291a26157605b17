"""The score sheet of a game as data: what goes where on which page.

One page in landscape holds everything but remarks for which there is no room: they go
on on further pages, and nothing is cut off.

::

    head: teams, score, place, rules, officials
    home team            | away team            | remarks: corrections, notes
    running score, a tape as wide as the page
    close-outs           | signatures           | more remarks
    foot: how to read it, whose rulings prevail, what it was printed of
"""

from __future__ import annotations

from dataclasses import replace
from enum import StrEnum
from typing import TYPE_CHECKING

from tablesync.box_score import RULINGS_PREVAIL
from tablesync.chart.drawing import Anchor, Ink
from tablesync.core.acts import Side
from tablesync.core.quarter_marks import MarkStyle
from tablesync.errors import BadInputError
from tablesync.paper.area import Area
from tablesync.paper.cells import Block, Page
from tablesync.paper.close_outs_block import close_outs_block, close_outs_height
from tablesync.paper.heading_block import HEADING_HEIGHT, heading_block, score_words
from tablesync.paper.player_table import SUMS_HEIGHT, TITLES_HEIGHT
from tablesync.paper.remarks import remarks
from tablesync.paper.remarks_block import remarks_blocks
from tablesync.paper.signatures_block import SIGNATURES_HEIGHT, signatures_block
from tablesync.paper.tape_block import tape_block, tape_height
from tablesync.paper.team_block import HEAD_HEIGHT, team_block
from tablesync.paper.team_counts import COUNTS_HEIGHT
from tablesync.paper.typesetting import Style

if TYPE_CHECKING:
    from tablesync.paper.remarks import Remarks
    from tablesync.paper.subject import Subject

__all__ = ["Paper", "score_sheet"]

MARGIN, GAP = 7.0, 2.5
TEAM_SHARE = 0.365
"""Of the width, for each team; the rest is for remarks."""
CLOSE_OUTS_SHARE = 0.6
LEAST_PLAYERS = 12
"""Some rows are left blank, to be written on."""
HIGHEST_ROW, LOWEST_ROW = 6.2, 2.8
FOOT_HEIGHT = 6.4
TITLE_HEIGHT = 7.0
REMARK_COLUMNS = 4
LEGEND = (
    "Foul boxes: letter, and the period in which it counts; number on black: out. "
    "Running score: new total with the scorer's number; framed: a three, dot: a free "
    "throw, own: an own basket. Thick box: the award changes, or beyond what the code "
    "allows."
)
SMALL = Style(6, ink=Ink.QUIET)


class Paper(StrEnum):
    """A size of paper."""

    A4 = "a4"
    LETTER = "letter"

    @property
    def sheet(self) -> Area:
        """The whole sheet in landscape."""
        match self:
            case Paper.A4:
                return Area(0, 0, 297.0, 210.0)
            case Paper.LETTER:
                return Area(0, 0, 279.4, 215.9)


def score_sheet(subject: Subject, paper: Paper) -> tuple[Page, ...]:
    """The pages of a score sheet.

    Raises:
        BadInputError: there are more players than the paper has rows for.
    """
    first, rest = _first_page(subject, paper)
    pages = [first]
    while rest:
        page, rest = _further_page(subject, paper, rest, len(pages) + 1)
        pages.append(page)
    return tuple(pages)


def _first_page(subject: Subject, paper: Paper) -> tuple[Page, tuple[Remarks, ...]]:
    room = paper.sheet.inside(MARGIN)
    tape = tape_height(subject, room.width)
    lower = max(close_outs_height(subject), SIGNATURES_HEIGHT)
    teams = room.height - HEADING_HEIGHT - tape - lower - FOOT_HEIGHT - 4 * GAP
    head, _, middle, _, band, _, bottom, _, foot = room.rows(
        [HEADING_HEIGHT, GAP, teams, GAP, tape, GAP, lower, GAP, FOOT_HEIGHT]
    )
    side = room.width * TEAM_SHARE
    third = room.width - 2 * (side + GAP)
    home, away, right = middle.columns([side, side, third], GAP)
    two = room.width - third - 2 * GAP
    left = two * CLOSE_OUTS_SHARE
    closes, signs, more = bottom.columns([left, two - left, third], GAP)
    rows = _rows(subject, teams)
    words, rest = remarks_blocks(subject, (right, more), remarks(subject))
    blocks = (
        heading_block(subject, head),
        team_block(subject, Side.HOME, home, rows),
        team_block(subject, Side.AWAY, away, rows),
        tape_block(subject, band),
        close_outs_block(subject, closes),
        signatures_block(subject, signs),
        *words,
        _foot(subject, foot, 1),
    )
    return Page(paper.sheet.width, paper.sheet.height, blocks), rest


def _further_page(
    subject: Subject, paper: Paper, lists: tuple[Remarks, ...], number: int
) -> tuple[Page, tuple[Remarks, ...]]:
    room = paper.sheet.inside(MARGIN)
    middle = room.height - TITLE_HEIGHT - FOOT_HEIGHT - 2 * GAP
    head, _, words, _, foot = room.rows([TITLE_HEIGHT, GAP, middle, GAP, FOOT_HEIGHT])
    title = subject.cell(head, score_words(subject), Style(12, bold=True))
    columns = words.alike(REMARK_COLUMNS, gap=GAP)
    set_words, rest = remarks_blocks(subject, columns, lists)
    heading = Block("heading", head, (title,))
    blocks = (heading, *set_words, _foot(subject, foot, number))
    return Page(paper.sheet.width, paper.sheet.height, blocks), rest


def _rows(subject: Subject, height: float) -> int:
    """How many rows the teams have for players, in blocks of that height."""
    room = height - HEAD_HEIGHT - TITLES_HEIGHT - SUMS_HEIGHT - COUNTS_HEIGHT
    most = int(room / LOWEST_ROW)
    for _, page in subject.game.book.pages:
        if len(page.lines) > most:
            what = f"{page.team.name} has {len(page.lines)} players"
            raise BadInputError("the score sheet", what, f"at most {most}")
    players = max(len(page.lines) for _, page in subject.game.book.pages)
    return max(players, LEAST_PLAYERS, -int(-room // HIGHEST_ROW))


def _foot(subject: Subject, area: Area, page: int) -> Block:
    """How to read the first page; whose word counts, and what it was printed of."""
    upper, lower = area.rows([area.height / 2] * 2)
    left, right = lower.columns([lower.width * 0.4, lower.width * 0.6])
    game = subject.game.history.game.hex()[:16]
    origin = f"{subject.origin} · game {game} · page {page}"
    legend = f"{_legend(subject.marks)} {LEGEND}" if page == 1 else ""
    cells = (
        subject.cell(upper, legend, SMALL),
        subject.cell(left, RULINGS_PREVAIL, Style(7.5, bold=True)),
        subject.cell(right, origin, replace(SMALL, anchor=Anchor.END)),
    )
    return Block("foot", area, cells)


def _legend(marks: MarkStyle) -> str:
    match marks:
        case MarkStyle.WHOLE:
            return "Periods: / whole, X a part, blank not at all."
        case MarkStyle.START:
            return "Periods: / started, ringed and went off; ring alone: came on later."
