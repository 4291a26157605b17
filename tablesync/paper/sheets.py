"""Sheets of A4 with the report's letters, and drawings scaled onto them."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import font_roboto
from fpdf import FPDF
from fpdf.enums import Align, TableBordersLayout, VAlign, XPos, YPos
from fpdf.fonts import FontFace

from tablesync.box_score import RULINGS_PREVAIL
from tablesync.chart.drawing import (
    Anchor,
    Box,
    Disc,
    Drawing,
    Ink,
    Rule,
    Shape,
    Stroke,
    Words,
)
from tablesync.plain_text import printable

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import datetime

__all__ = ["Line", "Sheets"]

MARGIN_MM = 14.0
FONT = "Roboto"
POINTS_PER_MM = 72 / 25.4
_DASHES_MM = {
    Stroke.SOLID: (0.0, 0.0),
    Stroke.DASHED: (1.4, 1.0),
    Stroke.DOTTED: (0.3, 1.2),
}

_SHIFTS = {Anchor.START: 0.0, Anchor.MIDDLE: 0.5, Anchor.END: 1.0}


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a table."""

    cells: tuple[str, ...]
    ink: Ink = Ink.PLAIN
    bold: bool = False


class Sheets(FPDF):
    """An A4 document whose every page says which record it is of."""

    def __init__(self, title: str, footing: str, printed_at: datetime) -> None:
        super().__init__(orientation="portrait", unit="mm", format="A4")
        self._footing = footing
        files: dict[str, str] = font_roboto.font_files
        self.add_font(FONT, "", Path(files["Roboto"]))
        self.add_font(FONT, "B", Path(files["RobotoBold"]))
        self.set_margin(MARGIN_MM)
        self.set_auto_page_break(auto=True, margin=MARGIN_MM + 6)
        self.set_title(title)
        self.set_creation_date(printed_at)
        self.set_font(FONT, size=10)

    def footer(self) -> None:
        """The caution, the record's fingerprint and the page's number."""
        self.set_y(-MARGIN_MM)
        self.write_line(RULINGS_PREVAIL, 8, Ink.QUIET)
        self.set_y(-MARGIN_MM + 4)
        self.write_line(f"{self._footing} · page {self.page_no()}", 7, Ink.QUIET)

    def ink(self, ink: Ink) -> None:
        """Writes on with that ink."""
        self.set_text_color(str(ink))

    def write_line(self, text: str, size: float, ink: Ink = Ink.PLAIN) -> None:
        """A paragraph over the width of the page."""
        self.set_font(FONT, size=size)
        self.ink(ink)
        self._write(text, size * 0.48)

    def write_heading(self, text: str, size: float, ink: Ink = Ink.PLAIN) -> None:
        """A heading, kept off the very end of a page."""
        if self.will_page_break(size * 0.5 + 14):
            self.add_page(same=True)
        self.set_font(FONT, "B", size)
        self.ink(ink)
        self._write(text, size * 0.5)

    def _write(self, text: str, height: float) -> None:
        self.multi_cell(
            0,
            height,
            printable(text),
            align=Align.L,
            new_x=XPos.LMARGIN,
            new_y=YPos.NEXT,
        )

    def write_table(self, widths: Sequence[float], lines: Iterable[Line]) -> None:
        """A table over the width of the page; its first line is the heading."""
        self.set_font(FONT, size=8.5)
        self.set_draw_color(str(Ink.FAINT))
        self.set_line_width(0.2)
        with self.table(
            col_widths=tuple(widths),
            line_height=4.2,
            borders_layout=TableBordersLayout.HORIZONTAL_LINES,
            text_align=Align.L,
            v_align=VAlign.T,
            headings_style=FontFace(emphasis="BOLD", color=str(Ink.QUIET)),
        ) as table:
            for line in lines:
                emphasis = "BOLD" if line.bold else None
                style = FontFace(emphasis=emphasis, color=str(line.ink))
                table.row([printable(cell) for cell in line.cells], style=style)

    def draw(self, drawing: Drawing) -> None:
        """A drawing over the width of the page, below what is there already."""
        scale = self.epw / drawing.width
        if self.get_y() + drawing.height * scale > self.page_break_trigger:
            self.add_page(same=True)
        left, top = self.l_margin, self.get_y()
        for shape in drawing.shapes:
            self._draw(shape, scale, left, top)
        self.set_dash_pattern()
        self.set_y(top + drawing.height * scale)

    def _draw(self, shape: Shape, scale: float, left: float, top: float) -> None:
        match shape:
            case Rule(x1=x1, y1=y1, x2=x2, y2=y2):
                self._stroke(shape.ink, shape.width * scale, shape.stroke)
                self.line(
                    left + x1 * scale,
                    top + y1 * scale,
                    left + x2 * scale,
                    top + y2 * scale,
                )
            case Box(x=x, y=y, width=width, height=height, fill=fill, edge=edge):
                self.set_fill_color(str(fill))
                if edge is not None:
                    self._stroke(edge, shape.edge_width * scale, shape.stroke)
                self.rect(
                    left + x * scale,
                    top + y * scale,
                    width * scale,
                    height * scale,
                    style="F" if edge is None else "DF",
                )
            case Disc(x=x, y=y, radius=radius, fill=fill):
                self.set_fill_color(str(fill))
                self.circle(
                    left + x * scale, top + y * scale, radius * scale, style="F"
                )
            case Words():
                self._letter(shape, scale, left, top)

    def _stroke(self, ink: Ink, width_mm: float, stroke: Stroke) -> None:
        self.set_draw_color(str(ink))
        self.set_line_width(width_mm)
        self.set_dash_pattern(*_DASHES_MM[stroke])

    def _letter(self, words: Words, scale: float, left: float, top: float) -> None:
        size = words.size * scale * POINTS_PER_MM
        self.set_font(FONT, "B" if words.bold else "", size)
        self.ink(words.ink)
        text = printable(words.text)
        shift = self.get_string_width(text) * _SHIFTS[words.anchor]
        self.text(left + words.x * scale - shift, top + words.y * scale, text)
