"""The running score of a score sheet: a tape of two lanes, read as the game was played.

Each point scored is one step to the right. The team that scored has its new total in
its lane, beside the number of the scorer; the other team's lane stays empty there. So
who was ahead when can be followed with a finger.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.chart.drawing import Anchor, Ink
from tablesync.core.acts import Side
from tablesync.core.book_lines import Scored
from tablesync.paper.cells import DOT_ROOM, FRAME_ROOM, Block, Cell, Frame, Sign
from tablesync.paper.typesetting import Style

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from tablesync.paper.area import Area
    from tablesync.paper.subject import Subject

__all__ = ["tape_block", "tape_height"]

LABEL_WIDTH = 15.0
WIDEST_STEP, NARROWEST_STEP = 5.2, 4.4
NUMBER_HEIGHT, TOTAL_HEIGHT, GAP = 2.4, 3.7, 1.2
LANE_HEIGHT = NUMBER_HEIGHT + TOTAL_HEIGHT
LEAST_ROWS = 3

TOTAL = Style(8, bold=True, anchor=Anchor.MIDDLE)
NUMBER = Style(5.5, anchor=Anchor.MIDDLE)
PERIOD = Style(6.5, bold=True, anchor=Anchor.MIDDLE, ink=Ink.PAPER)
TEAM = Style(8, bold=True)

_SIGNS = {
    1: frozenset({Sign.DOT}),
    2: frozenset[Sign](),
    3: frozenset({Sign.INNER_FRAME}),
}


def tape_height(subject: Subject, width: float) -> float:
    """How high the tape is on that width."""
    rows, _ = _rows(subject, width)
    return rows * (2 * LANE_HEIGHT + GAP) - GAP


def tape_block(subject: Subject, area: Area) -> Block:
    """The running score, in as many rows as it takes."""
    rows, steps_a_row = _rows(subject, area.width)
    steps = _steps(subject)
    heights = [2 * LANE_HEIGHT + GAP] * rows
    cells: list[Cell] = []
    for number, row in enumerate(area.rows(heights)):
        first = number * steps_a_row
        mine = steps[first : first + steps_a_row]
        cells += _row(subject, row, mine, steps_a_row)
    return Block("tape", area, tuple(cells))


def _rows(subject: Subject, width: float) -> tuple[int, int]:
    """How many rows there are, and how many steps each has."""
    room = width - LABEL_WIDTH
    steps = len(_steps(subject))
    for tenths in range(round(WIDEST_STEP * 10), round(NARROWEST_STEP * 10), -1):
        a_row = int(room / (tenths / 10))
        if steps <= a_row * LEAST_ROWS:
            return LEAST_ROWS, a_row
    a_row = int(room / NARROWEST_STEP)
    return max(LEAST_ROWS, -(-steps // a_row)), a_row


def _steps(subject: Subject) -> list[Scored | int]:
    """What was scored, and before it each period in which something was."""
    steps: list[Scored | int] = []
    period = 0
    for scored in subject.game.book.running_score:
        if scored.period != period:
            period = scored.period
            steps.append(period)
        steps.append(scored)
    return steps


def _row(
    subject: Subject, row: Area, steps: Sequence[Scored | int], steps_a_row: int
) -> Iterator[Cell]:
    label, rest = row.columns([LABEL_WIDTH, row.width - LABEL_WIDTH])
    for side, lane in zip(Side, label.rows([LANE_HEIGHT, LANE_HEIGHT]), strict=True):
        yield subject.cell(lane, subject.team(side), TEAM)
    places = rest.alike(steps_a_row)
    for step, place in zip(steps, places, strict=False):
        match step:
            case Scored():
                yield from _step(subject, place, step)
            case period:
                both = place.rows([2 * LANE_HEIGHT])[0]
                yield subject.cell(both, subject.label(period), PERIOD, Frame.BLACK)
    for place in places[len(steps) :]:
        _, home, away, _ = _lanes(place)
        yield Cell(home, frame=Frame.FAINT)
        yield Cell(away, frame=Frame.FAINT)


def _lanes(place: Area) -> list[Area]:
    """From above: home scorer and total, away total and scorer."""
    return place.rows([NUMBER_HEIGHT, TOTAL_HEIGHT, TOTAL_HEIGHT, NUMBER_HEIGHT])


def _step(subject: Subject, place: Area, scored: Scored) -> Iterator[Cell]:
    home_number, home_total, away_total, away_number = _lanes(place)
    number, total, empty = home_number, home_total, away_total
    if scored.side is Side.AWAY:
        number, total, empty = away_number, away_total, home_total
    yield Cell(empty, frame=Frame.FAINT)
    signs = _SIGNS[scored.points]
    words = subject.cell(_beside(signs, total), str(scored.total), TOTAL).words
    yield Cell(total, words, Frame.PLAIN, signs)
    yield subject.cell(number, scored.number or "own", NUMBER)


def _beside(signs: frozenset[Sign], total: Area) -> Area:
    """The part of a total's place that its sign leaves to the figures."""
    if Sign.DOT in signs:
        return total.columns([total.width - DOT_ROOM])[0]
    if Sign.INNER_FRAME in signs:
        return total.columns([FRAME_ROOM, total.width - 2 * FRAME_ROOM])[1]
    return total
