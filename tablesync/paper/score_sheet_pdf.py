"""The score sheet of a game as the bytes of a PDF file."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from fpdf import FPDF
from fpdf.fonts import TTFFont

from tablesync.paper.cells import page_drawing
from tablesync.paper.press import FONT, Press, add_letters
from tablesync.paper.score_sheet import Paper, score_sheet
from tablesync.paper.subject import Subject

if TYPE_CHECKING:
    from tablesync.core.game import Game
    from tablesync.core.quarter_marks import MarkStyle

__all__ = ["PressLetters", "score_sheet_pdf"]

LARGE_PT = 100.0
NO_DATE = datetime(2000, 1, 1, tzinfo=UTC)
"""A file must say when it was made; one game's sheet is to be the same whenever."""


class PressLetters:
    """How wide the letters are that the press has."""

    def __init__(self) -> None:
        self._pdf = FPDF(unit="pt")
        add_letters(self._pdf)
        # Only writing a document would close their files; the widths are read by now.
        for font in self._pdf.fonts.values():
            assert isinstance(font, TTFFont)
            font.close()
        self._widths: dict[tuple[str, bool], float] = {}

    def width(self, text: str, *, bold: bool) -> float:
        """How wide a text is, to the size of the letters."""
        key = (text, bold)
        if key not in self._widths:
            self._pdf.set_font(FONT, "B" if bold else "", LARGE_PT)
            self._widths[key] = self._pdf.get_string_width(text) / LARGE_PT
        return self._widths[key]


def score_sheet_pdf(game: Game, origin: str, marks: MarkStyle, paper: Paper) -> bytes:
    """The score sheet of a game; the same bytes for the same game.

    Args:
        game: the game as it stands.
        origin: what it was read from.
        marks: what the marks in the period boxes tell.
        paper: the size of the paper.

    Raises:
        BadInputError: there are more players than the paper has rows for.
    """
    pages = score_sheet(Subject(game, origin, marks, PressLetters()), paper)
    pdf = FPDF("portrait", "mm", (paper.sheet.width, paper.sheet.height))
    add_letters(pdf)
    pdf.set_auto_page_break(auto=False)
    pdf.set_title(game.sheet.title)
    pdf.set_creation_date(NO_DATE)
    for page in pages:
        pdf.add_page()
        Press(pdf, 1.0, 0.0, 0.0).draw(page_drawing(page))
    return bytes(pdf.output())
