"""A printed sheet read back: its text by place, and its look in black and white."""

from __future__ import annotations

import shutil
import subprocess
from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING, Any

import pytest
from PIL import Image
from pypdf import PdfReader

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

__all__ = ["MM", "Printed", "in_black_and_white", "needs_poppler", "printed_text"]

DOTS_AN_INCH = 200
MM = DOTS_AN_INCH / 25.4
"""Dots to a millimetre."""
DARK = 128

needs_poppler = pytest.mark.skipif(
    shutil.which("pdftoppm") is None,
    reason="no pdftoppm: install the system package poppler-utils",
)


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


def in_black_and_white(pdf: bytes, folder: Path) -> list[Image.Image]:
    """Every page as a cheap printer has it: dark dots are 0, the others 255."""
    file = folder / "sheet.pdf"
    file.write_bytes(pdf)
    look = ["-r", str(DOTS_AN_INCH), "-gray", "-png"]
    subprocess.run(["pdftoppm", *look, str(file), str(folder / "p")], check=True)
    return [
        Image.open(path).point(lambda dot: 0 if dot < DARK else 255)
        for path in sorted(folder.glob("p*.png"))
    ]
