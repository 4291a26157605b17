"""A drawing as an SVG file."""

from __future__ import annotations

from typing import TYPE_CHECKING
from xml.etree import ElementTree as ET

from tablesync.chart.drawing import Box, Disc, Ink, Rule, Shape, Stroke, Words
from tablesync.plain_text import printable

if TYPE_CHECKING:
    from collections.abc import Mapping

    from tablesync.chart.drawing import Drawing

__all__ = ["svg"]

NAMESPACE = "http://www.w3.org/2000/svg"
FONTS = "'DejaVu Sans', Verdana, 'Noto Sans', sans-serif"
_DASHES = {Stroke.DASHED: "6 4", Stroke.DOTTED: "1 5"}


def svg(drawing: Drawing) -> bytes:
    """The drawing as the bytes of an SVG file, UTF-8."""
    width, height = _number(drawing.width), _number(drawing.height)
    root = ET.Element(
        "svg",
        {
            "xmlns": NAMESPACE,
            "width": width,
            "height": height,
            "viewBox": f"0 0 {width} {height}",
            "font-family": FONTS,
        },
    )
    _add(root, "rect", {"width": width, "height": height, "fill": str(Ink.PAPER)})
    for shape in drawing.shapes:
        _draw(root, shape)
    ET.indent(root)
    content: bytes = ET.tostring(root, encoding="utf-8", xml_declaration=True)
    return content + b"\n"


def _draw(root: ET.Element, shape: Shape) -> None:
    match shape:
        case Rule(x1=x1, y1=y1, x2=x2, y2=y2, ink=ink, width=width, stroke=stroke):
            ends = {"x1": x1, "y1": y1, "x2": x2, "y2": y2}
            _add(root, "line", _numbers(ends) | _stroked(ink, width, stroke))
        case Box(x=x, y=y, width=width, height=height, fill=fill, edge=edge):
            sizes = {"x": x, "y": y, "width": width, "height": height}
            line = (
                {} if edge is None else _stroked(edge, shape.edge_width, shape.stroke)
            )
            _add(root, "rect", _numbers(sizes) | {"fill": str(fill)} | line)
        case Disc(x=x, y=y, radius=radius, fill=fill):
            sizes = {"cx": x, "cy": y, "r": radius}
            _add(root, "circle", _numbers(sizes) | {"fill": str(fill)})
        case Words(x=x, y=y, text=text, ink=ink, size=size, anchor=anchor, bold=bold):
            looks = {"fill": str(ink), "text-anchor": str(anchor)}
            weight = {"font-weight": "bold"} if bold else {}
            places = _numbers({"x": x, "y": y, "font-size": size})
            _add(root, "text", places | looks | weight).text = printable(text)


def _stroked(ink: Ink, width: float, stroke: Stroke) -> dict[str, str]:
    dashes = {} if stroke is Stroke.SOLID else {"stroke-dasharray": _DASHES[stroke]}
    return {"stroke": str(ink), "stroke-width": _number(width), **dashes}


def _numbers(values: Mapping[str, float]) -> dict[str, str]:
    return {name: _number(value) for name, value in values.items()}


def _number(value: float) -> str:
    """At most two decimals, so that the bytes are the same on every machine."""
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _add(root: ET.Element, name: str, attributes: dict[str, str]) -> ET.Element:
    return ET.SubElement(root, name, attributes)
