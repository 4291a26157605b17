"""A sheet as data: pages of blocks of cells, each with its rectangle and what is in it.

What goes where is decided here and can be looked at; drawing it is one step more.
Lengths are millimetres.
"""

from __future__ import annotations

from enum import Enum, auto
from typing import TYPE_CHECKING

from tablesync.chart.drawing import Box, Disc, Drawing, Ink, Rule, Shape, Words
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tablesync.paper.area import Area

__all__ = [
    "DOT_ROOM",
    "FRAME_ROOM",
    "Block",
    "Cell",
    "Frame",
    "Page",
    "Sign",
    "page_drawing",
]

THIN, THICK, HEAVY = 0.15, 0.3, 0.5
DOT_RADIUS, DOT_ROOM = 0.42, 0.7
"""Room: what a cell with that sign needs at its right edge, besides the padding."""
FRAME_INSET, FRAME_ROOM = 0.45, 0.3
"""Room: the same at either edge."""


class Frame(Enum):
    """The edge of a cell."""

    NONE = auto()
    FAINT = auto()
    PLAIN = auto()
    HEAVY = auto()
    BLACK = auto()
    """Filled: what is in it is to be white."""


class Sign(Enum):
    """What is drawn into a cell besides its words; later ones cover earlier ones."""

    RING = auto()
    INNER_FRAME = auto()
    SLASH = auto()
    CROSS = auto()
    DOT = auto()
    """In the lower right corner."""


@dataclass(frozen=True, slots=True)
class Cell:
    """One rectangle and what is in it."""

    area: Area
    words: tuple[Words, ...] = ()
    frame: Frame = Frame.NONE
    signs: frozenset[Sign] = frozenset()


@dataclass(frozen=True, slots=True)
class Block:
    """Cells that belong together."""

    name: str
    area: Area
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Page:
    """One page of paper."""

    width: float
    height: float
    blocks: tuple[Block, ...]


def page_drawing(page: Page) -> Drawing:
    """Everything on a page as shapes, in millimetres."""
    cells = [cell for block in page.blocks for cell in block.cells]
    # A faint edge that is shared with a plain one goes under it.
    cells.sort(key=lambda cell: cell.frame is not Frame.FAINT or bool(cell.words))
    shapes = tuple(shape for cell in cells for shape in _cell_shapes(cell))
    return Drawing(page.width, page.height, shapes)


def _cell_shapes(cell: Cell) -> Iterator[Shape]:
    yield from _frame(cell.area, cell.frame)
    # A frozenset has no order of its own, and the bytes of a sheet must not vary.
    for sign in Sign:
        if sign in cell.signs:
            yield from _sign(cell.area, sign)
    yield from cell.words


def _frame(area: Area, frame: Frame) -> Iterator[Shape]:
    place = (area.x, area.y, area.width, area.height)
    match frame:
        case Frame.NONE:
            pass
        case Frame.FAINT:
            yield Box(*place, Ink.PAPER, Ink.FAINT, edge_width=THIN)
        case Frame.PLAIN:
            yield Box(*place, Ink.PAPER, Ink.PLAIN, edge_width=THIN)
        case Frame.HEAVY:
            yield Box(*place, Ink.PAPER, Ink.PLAIN, edge_width=HEAVY)
        case Frame.BLACK:
            yield Box(*place, Ink.PLAIN, Ink.PLAIN, edge_width=THIN)


def _sign(area: Area, sign: Sign) -> Iterator[Shape]:
    size = min(area.width, area.height)
    edge = size * 0.12
    left, right = area.x + edge, area.right - edge
    top, bottom = area.y + edge, area.bottom - edge
    middle_x, middle_y = area.x + area.width / 2, area.y + area.height / 2
    match sign:
        case Sign.SLASH:
            yield Rule(left, bottom, right, top, width=THICK)
        case Sign.CROSS:
            yield Rule(left, bottom, right, top, width=THICK)
            yield Rule(left, top, right, bottom, width=THICK)
        case Sign.RING:
            yield Disc(middle_x, middle_y, size * 0.42, Ink.PLAIN)
            yield Disc(middle_x, middle_y, size * 0.42 - THICK, Ink.PAPER)
        case Sign.INNER_FRAME:
            inner = area.inside(FRAME_INSET)
            place = (inner.x, inner.y, inner.width, inner.height)
            yield Box(*place, Ink.PAPER, Ink.PLAIN, edge_width=THICK)
        case Sign.DOT:
            reach = 0.2 + DOT_RADIUS
            at = (area.right - reach, area.bottom - reach)
            yield Disc(*at, DOT_RADIUS, Ink.PLAIN)
