"""Pen strokes: text, rules, boxes, slashes. To be used within a canvas.

Every length is in pixels; `dp` turns density-independent ones into these.
"""

from __future__ import annotations

from bisect import bisect_right
from enum import Enum
from functools import lru_cache
from typing import TYPE_CHECKING, Any, NamedTuple

from kivy.core.text import Label as TextLabel
from kivy.graphics import (
    Color,
    Line,
    Mesh,
    Rectangle,
    SmoothEllipse,
    SmoothLine,
)
from kivy.graphics.texture import Texture
from kivy.metrics import dp

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mobile.theme import Colour

__all__ = [
    "Align",
    "Box",
    "cross",
    "dot",
    "fill",
    "fits_in_lines",
    "frame",
    "hatch",
    "ring",
    "rule",
    "slash",
    "stroke",
    "triangle",
    "wraps",
    "write",
    "write_lines",
]

LEAST_TEXT_DP = 10.0
HATCH_DP = 8.0
HATCH_TEXELS = 16
SMALLER = (1.0, 0.93, 0.87, 0.8, 0.73, 0.67)
"""Steps by which a passage is made smaller until it fits."""


class Align(Enum):
    """Where a text stands in its box."""

    LEFT = 0.0
    CENTRE = 0.5
    RIGHT = 1.0


class Box(NamedTuple):
    """A rectangle on the screen."""

    x: float
    y: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """Where it ends on the right."""
        return self.x + self.width

    @property
    def top(self) -> float:
        """Where it ends on top."""
        return self.y + self.height

    def inset(self, by: float) -> Box:
        """The box without a margin on every side."""
        return Box(self.x + by, self.y + by, self.width - 2 * by, self.height - 2 * by)


def fill(colour: Colour, *boxes: Box) -> None:
    """Fills boxes; all of them are one stroke, so many cost no more than one."""
    Color(*colour.rgba)
    if len(boxes) == 1:
        (box,) = boxes
        Rectangle(pos=(box.x, box.y), size=(box.width, box.height))
    elif boxes:
        _quads(boxes)


def frame(colour: Colour, *boxes: Box, width_dp: float = 2.0) -> None:
    """Draws the frames of boxes, within the boxes; all of them are one stroke."""
    width = max(1.0, round(dp(width_dp)))
    Color(*colour.rgba)
    sides = [
        side
        for box in boxes
        for side in (
            Box(box.x, box.y, box.width, width),
            Box(box.x, box.top - width, box.width, width),
            Box(box.x, box.y, width, box.height),
            Box(box.right - width, box.y, width, box.height),
        )
    ]
    if sides:
        _quads(sides)


def _quads(boxes: Sequence[Box]) -> None:
    vertices: list[float] = []
    indices: list[int] = []
    for box in boxes:
        first = len(vertices) // 4
        for x, y in (
            (box.x, box.y),
            (box.right, box.y),
            (box.right, box.top),
            (box.x, box.top),
        ):
            vertices += (x, y, 0.0, 0.0)
        indices += (first, first + 1, first + 2, first, first + 2, first + 3)
    Mesh(vertices=vertices, indices=indices, mode="triangles")


def rule(colour: Colour, start: tuple[float, float], end: tuple[float, float]) -> None:
    """Draws a thin straight line."""
    Color(*colour.rgba)
    Line(points=[*start, *end], width=max(1.0, dp(0.6)))


def stroke(
    colour: Colour, start: tuple[float, float], end: tuple[float, float], width: float
) -> None:
    """Draws a straight line of a width in pixels."""
    Color(*colour.rgba)
    # Kivy counts the width from the middle of a line to its edge.
    Line(points=[*start, *end], width=max(0.5, width / 2), cap="none")


def slash(colour: Colour, box: Box, width_dp: float = 1.3) -> None:
    """Strikes a box from its upper left to its lower right."""
    Color(*colour.rgba)
    points = [box.x, box.top, box.right, box.y]
    SmoothLine(points=points, width=dp(width_dp), cap="none")


def cross(colour: Colour, box: Box) -> None:
    """Crosses a box out."""
    slash(colour, box)
    Color(*colour.rgba)
    points = [box.x, box.y, box.right, box.top]
    SmoothLine(points=points, width=dp(1.3), cap="none")


def dot(colour: Colour, centre: tuple[float, float], radius: float) -> None:
    """Draws a filled dot."""
    Color(*colour.rgba)
    x, y = centre
    SmoothEllipse(pos=(x - radius, y - radius), size=(2 * radius, 2 * radius))


def ring(
    colour: Colour, centre: tuple[float, float], radius: float, width_dp: float = 1.3
) -> None:
    """Draws a ring."""
    Color(*colour.rgba)
    SmoothLine(circle=(*centre, radius), width=dp(width_dp))


def triangle(colour: Colour, points: Sequence[tuple[float, float]]) -> None:
    """Fills a triangle."""
    Color(*colour.rgba)
    vertices = [value for x, y in points for value in (x, y, 0.0, 0.0)]
    Mesh(vertices=vertices, indices=[0, 1, 2], mode="triangles")


def hatch(colour: Colour, box: Box) -> None:
    """Covers a box with slanting lines."""
    Color(*colour.rgba)
    right, top = box.width / dp(HATCH_DP), box.height / dp(HATCH_DP)
    Rectangle(
        texture=_hatching(),
        pos=(box.x, box.y),
        size=(box.width, box.height),
        tex_coords=(0, 0, right, 0, right, top, 0, top),
    )


@lru_cache(maxsize=1)
def _hatching() -> Any:
    """One tile of the hatching: a line from corner to corner, thin and smooth."""
    pixels = bytearray()
    for y in range(HATCH_TEXELS):
        for x in range(HATCH_TEXELS):
            apart = abs((x - y + HATCH_TEXELS // 2) % HATCH_TEXELS - HATCH_TEXELS // 2)
            shade = max(0.0, min(1.0, HATCH_TEXELS * 0.22 + 0.5 - apart))
            pixels += bytes((255, 255, 255, round(255 * shade)))
    tile = Texture.create(size=(HATCH_TEXELS, HATCH_TEXELS), colorfmt="rgba")
    tile.blit_buffer(bytes(pixels), colorfmt="rgba", bufferfmt="ubyte")
    tile.wrap = "repeat"
    return tile


def write(
    colour: Colour,
    text: str,
    box: Box,
    size_dp: float,
    *,
    align: Align = Align.CENTRE,
    bold: bool = False,
) -> None:
    """Writes one line into a box, as large as asked for or as large as fits."""
    if not text:
        return
    sizes = (dp(size_dp), dp(LEAST_TEXT_DP))
    texture = _fitted(text, sizes, box.width, bold)
    width, height = texture.size
    x = box.x + (box.width - width) * align.value
    y = box.y + (box.height - height) / 2
    Color(*colour.rgba)
    Rectangle(texture=texture, pos=(round(x), round(y)), size=(width, height))


def wraps(text: str, box: Box, size_dp: float) -> tuple[str, str] | None:
    """Where to break bold words that are too wide for one line, or None if they fit.

    Of the places between words it is the one with the shorter longest line.
    """
    words = text.split()
    if len(words) == 1 or _texture(text, dp(size_dp), True).width <= box.width:
        return None
    breaks = [(" ".join(words[:n]), " ".join(words[n:])) for n in range(1, len(words))]
    return min(breaks, key=lambda lines: max(map(len, lines)))


def write_lines(
    colour: Colour, text: str, box: Box, size_dp: float, *, bold: bool = False
) -> float:
    """Writes as many lines as are needed and fit, from the top, and tells the height.

    They are as large as asked for, or down to two thirds of it. What does not fit even
    so ends in three dots.
    """
    texture = _paragraph(text, dp(size_dp), (int(box.width), int(box.height)), bold)
    width, height = texture.size
    Color(*colour.rgba)
    pos = (round(box.x), round(box.top - height))
    Rectangle(texture=texture, pos=pos, size=(width, height))
    return float(height)


def fits_in_lines(text: str, box: Box, size_dp: float) -> bool:
    """Whether `write_lines` can write all of it there."""
    least = dp(size_dp) * SMALLER[-1]
    return bool(_lines(text, least, int(box.width), False).height <= box.height)


@lru_cache(maxsize=4096)
def _texture(text: str, size: float, bold: bool) -> Any:
    label = TextLabel(text=text, font_size=size, font_name="Roboto", bold=bold)
    label.refresh()
    return label.texture


@lru_cache(maxsize=4096)
def _fitted(text: str, sizes: tuple[float, float], width: float, bold: bool) -> Any:
    """The text at the size asked for, or smaller to fit, or shortened at the least."""
    size, least = sizes
    texture = _texture(text, size, bold)
    if texture.width <= width:
        return texture
    size = max(least, size * width / texture.width)
    texture = _texture(text, size, bold)
    while texture.width > width and size > least:
        size = max(least, size - 0.5)
        texture = _texture(text, size, bold)
    if texture.width > width and len(text) > 1:
        texture = _shortened(text, size, width, bold)
    return texture


def _shortened(text: str, size: float, width: float, bold: bool) -> Any:
    """The beginning of the text that fits with three dots, one letter at the least."""

    def cut_to(letters: int) -> Any:
        return _texture(f"{text[:letters]}…", size, bold)

    letters = range(1, len(text))
    fitting = bisect_right(letters, width, key=lambda n: cut_to(n).width)
    return cut_to(max(1, fitting))


@lru_cache(maxsize=256)
def _paragraph(text: str, asked: float, size: tuple[int, int], bold: bool) -> Any:
    width, height = size
    for smaller in SMALLER[:-1]:
        texture = _lines(text, asked * smaller, width, bold)
        if texture.height <= height:
            return texture
    texture = _lines(text, asked * SMALLER[-1], width, bold)
    words = text.split()
    while texture.height > height and len(words) > 1:
        words.pop()
        shortened = f"{' '.join(words)} …"
        texture = _lines(shortened, asked * SMALLER[-1], width, bold)
    return texture


def _lines(text: str, size: float, width: int, bold: bool) -> Any:
    label = TextLabel(
        text=text,
        font_size=size,
        font_name="Roboto",
        bold=bold,
        text_size=(width, None),
        halign="left",
        valign="top",
    )
    label.refresh()
    return label.texture
