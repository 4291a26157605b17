"""Foul boxes: the letter of each foul, and the period in which it counts."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.chart.drawing import Anchor
from tablesync.paper.cells import Cell, Frame
from tablesync.paper.typesetting import Style, set_line

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tablesync.core.acts import Charged
    from tablesync.core.book_lines import BookedFoul
    from tablesync.paper.area import Area
    from tablesync.paper.subject import Subject

__all__ = ["foul_cells"]

LETTER = Style(8, bold=True, anchor=Anchor.MIDDLE)
PERIOD = Style(5, anchor=Anchor.MIDDLE)


def foul_cells(
    subject: Subject,
    fouls: Sequence[BookedFoul],
    charged: Charged,
    area: Area,
    count: int,
) -> list[Cell]:
    """So many boxes over an area, the first of them with these fouls."""
    boxes = area.alike(count)
    rules = subject.game.rules.fouls
    cells = [Cell(box, frame=Frame.PLAIN) for box in boxes[len(fouls) :]]
    for foul, box in zip(fouls, boxes, strict=False):
        letter = rules.counted_as(charged, foul.kind).letter
        left, right = box.columns([box.width * 0.62, box.width * 0.38])
        lower = right.rows([right.height * 0.4, right.height * 0.6])[1]
        words = (
            set_line(letter, left, LETTER, subject.letters),
            set_line(str(foul.period), lower, PERIOD, subject.letters),
        )
        cells.append(Cell(box, words, Frame.PLAIN))
    return cells
