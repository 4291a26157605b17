"""Sets text into rectangles: never cut off, and never beyond their edges.

A line that is too long for its rectangle is set in smaller letters, a paragraph is
broken into lines. How wide letters are is for whoever draws to say.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Protocol

from tablesync.chart.drawing import Anchor, Ink, Words
from tablesync.frozen import dataclass
from tablesync.plain_text import printable

if TYPE_CHECKING:
    from tablesync.paper.area import Area

__all__ = [
    "CAPITAL",
    "DESCENT",
    "MM_PER_POINT",
    "PADDING",
    "Letters",
    "Style",
    "broken",
    "set_line",
    "set_lines",
]

MM_PER_POINT = 25.4 / 72
CAPITAL = 0.72
"""How high a capital is, to the size of the letters."""
DESCENT = 0.22
"""How far letters reach below their line."""
PADDING = 0.6
SMALLEST_PT = 5.0
"""Text that would be smaller than this on one line goes on two, if that helps."""
_PIECES = re.compile(r"[^ -]*-+ ?|[^ -]+ ?|[ ]")


class Letters(Protocol):
    """What letters there are."""

    def width(self, text: str, *, bold: bool) -> float:
        """How wide a text is, to the size of the letters."""
        ...


@dataclass(frozen=True, slots=True)
class Style:
    """How text is set."""

    size_pt: float
    bold: bool = False
    anchor: Anchor = Anchor.START
    ink: Ink = Ink.PLAIN


def set_line(text: str, area: Area, style: Style, letters: Letters) -> Words:
    """One line in the middle of a rectangle's height."""
    plain = printable(text)
    size = style.size_pt * MM_PER_POINT
    room = area.width - 2 * min(PADDING, area.width / 8)
    size = min(size, area.height / (CAPITAL + 2 * DESCENT))
    width = letters.width(plain, bold=style.bold) * size
    if width > room:
        size *= room / width
    middle = area.y + area.height / 2
    return Words(
        _x(area, room, style.anchor),
        middle + size * CAPITAL / 2,
        plain,
        style.ink,
        size,
        style.anchor,
        style.bold,
    )


def set_lines(text: str, area: Area, style: Style, letters: Letters) -> list[Words]:
    """One line, or two where their letters can be larger."""
    one = set_line(text, area, style, letters)
    if one.size >= min(style.size_pt, SMALLEST_PT) * MM_PER_POINT - 1e-9:
        return [one]
    largest = min(SMALLEST_PT, style.size_pt)
    longest = max((letters.width(p, bold=style.bold) for p in _pieces(text)), default=0)
    for tenths in range(int(largest * 10), 0, -1):
        size = tenths / 10 * MM_PER_POINT
        width = (area.width - 2 * PADDING) / size
        if size <= one.size:
            break
        lines = broken(text, width, letters, bold=style.bold)
        if len(lines) == 2 and longest <= width:
            small = replace(style, size_pt=tenths / 10)
            halves = area.rows([area.height / 2] * 2)
            return [
                set_line(line, half, small, letters)
                for line, half in zip(lines, halves, strict=True)
            ]
    return [one]


def broken(
    text: str, width: float, letters: Letters, *, bold: bool = False
) -> list[str]:
    """The text in lines of at most that width, to the size of the letters.

    A line ends at a space or after a hyphen; a piece that is too long for a line is
    broken anywhere.
    """
    lines: list[str] = []
    line = ""
    for piece in _pieces(text):
        if letters.width((line + piece).rstrip(), bold=bold) <= width:
            line += piece
            continue
        if line:
            lines.append(line.rstrip())
        line = piece
        while letters.width(line.rstrip(), bold=bold) > width and len(line) > 1:
            end = _fitting(line, width, letters, bold=bold)
            lines.append(line[:end])
            # What is left begins no line with the space between two pieces.
            line = line[end:].lstrip()
    return [*lines, line.rstrip()] if line.strip() else lines


def _pieces(text: str) -> list[str]:
    """The text in pieces between which a line may end."""
    return _PIECES.findall(" ".join(printable(text).split()))


def _fitting(word: str, width: float, letters: Letters, *, bold: bool) -> int:
    """How many of its letters fit, at least one."""
    end = 1
    while end < len(word) and letters.width(word[: end + 1], bold=bold) <= width:
        end += 1
    return end


def _x(area: Area, room: float, anchor: Anchor) -> float:
    edge = (area.width - room) / 2
    match anchor:
        case Anchor.START:
            return area.x + edge
        case Anchor.MIDDLE:
            return area.x + area.width / 2
        case Anchor.END:
            return area.right - edge
