"""A printed sheet read back: its text by place, and its look in black and white."""

from __future__ import annotations

from contextlib import closing
from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING, Any

from pypdf import PdfReader
from pypdfium2 import PdfDocument

if TYPE_CHECKING:
    from collections.abc import Sequence

    from PIL import Image

__all__ = ["MM", "Printed", "in_black_and_white", "printed_text"]

DOTS_AN_INCH = 200
MM = DOTS_AN_INCH / 25.4
"""Dots to a millimetre."""
DARK = 128


@dataclass(frozen=True, slots=True)
class Printed:
    """One piece of text on a page, by the left end of its base line."""

    text: str
    x_mm: float
    y_mm: float


def printed_text(pdf: bytes) -> list[list[Printed]]:
    """The text of every page, in the order in which it was drawn."""
    return [_of_page(page) for page in PdfReader(BytesIO(pdf)).pages]


def _of_page(page: Any) -> list[Printed]:
    found: list[Printed] = []
    height = float(page.mediabox.height)

    def visit(
        text: str, _cm: Sequence[float], tm: Sequence[float], *_font: object
    ) -> None:
        if text.strip():
            at = (tm[4] * 25.4 / 72, (height - tm[5]) * 25.4 / 72)
            found.append(Printed(text.strip(), *at))

    page.extract_text(visitor_text=visit)
    return found


def in_black_and_white(pdf: bytes) -> list[Image.Image]:
    """Every page as a cheap printer has it: dark dots are 0, the others 255."""
    with closing(PdfDocument(pdf)) as document:
        pages = [
            page.render(scale=DOTS_AN_INCH / 72, grayscale=True).to_pil()
            for page in document
        ]
    return [page.point(lambda dot: 0 if dot < DARK else 255) for page in pages]
