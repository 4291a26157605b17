"""A drawing becomes well-formed SVG, the same bytes everywhere."""

from __future__ import annotations

from xml.etree import ElementTree as ET

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
from tablesync.chart.svg import NAMESPACE, svg


def drawn(*shapes: Shape) -> list[ET.Element]:
    """The elements on the paper."""
    root = ET.fromstring(svg(Drawing(100, 50, shapes)))
    assert root.tag == f"{{{NAMESPACE}}}svg"
    assert root.get("viewBox") == "0 0 100 50"
    return list(root)[1:]


def attributes(shape: Shape) -> dict[str, str]:
    [element] = drawn(shape)
    return {"tag": element.tag.removeprefix(f"{{{NAMESPACE}}}"), **element.attrib}


def test_every_shape_has_its_element() -> None:
    assert attributes(Rule(1, 2, 3, 4.5, Ink.ALERT, 2, Stroke.DASHED)) == {
        "tag": "line",
        "x1": "1",
        "y1": "2",
        "x2": "3",
        "y2": "4.5",
        "stroke": "#a33300",
        "stroke-width": "2",
        "stroke-dasharray": "6 4",
    }
    assert attributes(Box(1, 2, 3, 4, Ink.SHADE)) == {
        "tag": "rect",
        "x": "1",
        "y": "2",
        "width": "3",
        "height": "4",
        "fill": "#eceade",
    }
    assert attributes(Box(1, 2, 3, 4, Ink.PAPER, Ink.PLAIN))["stroke"] == "#1a1a1a"
    assert attributes(Disc(1, 2, 3, Ink.PLAIN))["r"] == "3"
    words = attributes(Words(1, 2, "a", anchor=Anchor.MIDDLE, bold=True))
    assert (words["text-anchor"], words["font-weight"]) == ("middle", "bold")


def test_words_of_strangers_do_no_harm() -> None:
    [element] = drawn(Words(0, 0, '<script>"&\x00\x1b Čačić'))
    assert element.text == '<script>"&\ufffd\ufffd Čačić'


def test_numbers_are_short_so_that_every_machine_writes_the_same() -> None:
    third = attributes(Disc(1 / 3, 2 / 3, 10, Ink.PLAIN))
    assert (third["cx"], third["cy"], third["r"]) == ("0.33", "0.67", "10")
