"""Lists of remarks set into columns, and what of them is left for another page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.chart.drawing import Anchor
from tablesync.paper.area import Area
from tablesync.paper.cells import Block, Cell
from tablesync.paper.remarks import Remarks
from tablesync.paper.typesetting import MM_PER_POINT, PADDING, Style, broken

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tablesync.paper.subject import Subject

__all__ = ["remarks_blocks"]

TITLE, TEXT = Style(7, bold=True), Style(6)
CONTINUED = ", continued"
GOES_ON = Style(6.5, bold=True, anchor=Anchor.END)
TITLE_HEIGHT, LINE_HEIGHT, GAP = 3.8, 2.55, 0.6


def remarks_blocks(
    subject: Subject, areas: Sequence[Area], lists: Sequence[Remarks]
) -> tuple[tuple[Block, ...], tuple[Remarks, ...]]:
    """Sets lists into areas of one width, one after the other, as far as there is room.

    Returns:
        A block for each area, and what did not find room: then the last block ends with
        a line that says so.
    """
    setting = _Setting(subject, areas)
    rest = setting.put_all(lists)
    if rest:
        *others, last = areas
        upper, lower = last.rows([last.height - LINE_HEIGHT, LINE_HEIGHT])
        setting = _Setting(subject, [*others, upper])
        rest = setting.put_all(lists)
        setting.cells[-1].append(subject.cell(lower, "see the next page", GOES_ON))
    blocks = tuple(
        Block(f"remarks {number}", area, tuple(cells))
        for number, (area, cells) in enumerate(
            zip(areas, setting.cells, strict=True), start=1
        )
    )
    return blocks, rest


class _Setting:
    """Areas that fill up line by line."""

    def __init__(self, subject: Subject, areas: Sequence[Area]) -> None:
        self.cells: list[list[Cell]] = [[] for _ in areas]
        self._subject = subject
        self._areas = areas
        self._place = 0
        self._y = areas[0].y

    def put_all(self, lists: Sequence[Remarks]) -> tuple[Remarks, ...]:
        """Sets lists until there is no more room, and tells what is left."""
        for place, one in enumerate(lists):
            left = self._put(one)
            if left is not None:
                return (left, *lists[place + 1 :])
        return ()

    def _put(self, one: Remarks) -> Remarks | None:
        if not self._make_room(TITLE_HEIGHT + LINE_HEIGHT):
            return one
        self._set(one.title, TITLE, TITLE_HEIGHT)
        for place, paragraph in enumerate(one.paragraphs):
            left = self._put_paragraph(paragraph)
            if left:
                title = f"{one.title.removesuffix(CONTINUED)}{CONTINUED}"
                return Remarks(title, (left, *one.paragraphs[place + 1 :]))
        return None

    def _put_paragraph(self, paragraph: str) -> str:
        """Sets a paragraph line by line, and tells what of it is left."""
        size = TEXT.size_pt * MM_PER_POINT
        width = (self._areas[0].width - 2 * PADDING) / size
        lines = broken(paragraph, width, self._subject.letters)
        for place, line in enumerate(lines):
            if not self._make_room(LINE_HEIGHT):
                return " ".join(lines[place:])
            self._set(line, TEXT, LINE_HEIGHT)
        self._y += GAP
        return ""

    def _make_room(self, height: float) -> bool:
        """Goes on to the next area where this one is full, if there is one."""
        while self._y + height > self._areas[self._place].bottom + 1e-6:
            if self._place + 1 == len(self._areas):
                return False
            self._place += 1
            self._y = self._areas[self._place].y
        return True

    def _set(self, text: str, style: Style, height: float) -> None:
        column = self._areas[self._place]
        area = Area(column.x, self._y, column.width, height)
        self.cells[self._place].append(self._subject.cell(area, text, style))
        self._y += height
