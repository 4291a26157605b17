"""Sheets of A4 with the report's letters, and drawings scaled onto them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fpdf import FPDF
from fpdf.enums import Align, TableBordersLayout, VAlign, XPos, YPos
from fpdf.fonts import FontFace

from tablesync.box_score import RULINGS_PREVAIL
from tablesync.chart.drawing import Ink
from tablesync.frozen import dataclass
from tablesync.paper.press import FONT, Press, add_letters
from tablesync.plain_text import printable

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import datetime

    from tablesync.chart.drawing import Drawing

__all__ = ["Line", "Sheets"]

MARGIN_MM = 14.0


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
        add_letters(self)
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
        top = self.get_y()
        Press(self, scale, self.l_margin, top).draw(drawing)
        self.set_y(top + drawing.height * scale)
