"""A chart as PNG: every kind of shape where it belongs."""

from __future__ import annotations

from io import BytesIO

from PIL import Image

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
from tablesync.paper.png import FINE, png

RGB = {ink: tuple(int(ink[i : i + 2], 16) for i in (1, 3, 5)) for ink in Ink}


def drawn(*shapes: Shape) -> Image.Image:
    content = png(Drawing(200, 100, shapes))
    image = Image.open(BytesIO(content))
    assert image.format == "PNG"
    assert image.size == (200 * FINE, 100 * FINE)
    return image.convert("RGB")


def at(image: Image.Image, x: float, y: float) -> object:
    return image.getpixel((round(x * FINE), round(y * FINE)))


def test_shapes_stand_at_their_places_in_their_inks() -> None:
    image = drawn(
        Box(10, 10, 30, 20, Ink.SHADE, Ink.ALERT, edge_width=4),
        Disc(100, 50, 10, Ink.AGREED),
        Rule(150, 10, 150, 90, Ink.MOMENT, 4),
    )
    assert at(image, 25, 20) == RGB[Ink.SHADE]
    assert at(image, 10, 20) == RGB[Ink.ALERT]
    assert at(image, 100, 50) == RGB[Ink.AGREED]
    assert at(image, 100, 62) == RGB[Ink.PAPER]
    assert at(image, 150, 50) == RGB[Ink.MOMENT]


def test_later_shapes_cover_earlier_ones() -> None:
    image = drawn(Disc(50, 50, 20, Ink.PLAIN), Box(40, 40, 20, 20, Ink.PAPER))
    assert at(image, 50, 50) == RGB[Ink.PAPER]


def test_dashes_leave_gaps() -> None:
    def inked(stroke: Stroke) -> int:
        image = drawn(Rule(0, 50, 199, 50, Ink.PLAIN, 4, stroke))
        row = [at(image, x / FINE, 50) for x in range(200 * FINE)]
        return sum(one == RGB[Ink.PLAIN] for one in row)

    solid, dashed, dotted = (inked(s) for s in Stroke)
    assert solid > 190 * FINE
    # Six of ten, and one of six, and the ends of each are round to the pixel.
    assert 0.55 < dashed / solid < 0.7
    assert 0.1 < dotted / solid < 0.35


def test_words_stand_by_their_anchor_on_their_line() -> None:
    for anchor, left, right in (
        (Anchor.START, 100, 200),
        (Anchor.MIDDLE, 50, 150),
        (Anchor.END, 0, 101),
    ):
        image = drawn(Words(100, 60, "HHHHHH", Ink.PLAIN, 20, anchor, bold=True))
        box = Image.eval(image.convert("L"), lambda v: 255 - v).getbbox()
        assert box is not None
        assert left * FINE <= box[0] < box[2] <= right * FINE + 2
        assert abs(box[3] - 60 * FINE) <= 2


def test_same_drawing_gives_the_same_bytes() -> None:
    drawing = Drawing(200, 100, (Words(10, 50, "agreed", Ink.AGREED),))
    assert png(drawing) == png(drawing)
