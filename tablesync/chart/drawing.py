"""A drawing as values: lines, boxes, discs and words, for any kind of paper.

Lengths are points of 1/96 inch; x goes right and y goes down.
"""

from __future__ import annotations

from enum import Enum, StrEnum, auto
from typing import TypeAlias

from tablesync.frozen import dataclass

__all__ = [
    "Anchor",
    "Box",
    "Disc",
    "Drawing",
    "Ink",
    "Rule",
    "Shape",
    "Stroke",
    "Words",
    "width_of",
]


class Ink(StrEnum):
    """What something is drawn with; the value is its colour."""

    PLAIN = "#1a1a1a"
    QUIET = "#5c5a54"
    FAINT = "#c9c6bb"
    SHADE = "#eceade"
    PAPER = "#ffffff"
    ALERT = "#a33300"
    AGREED = "#1f6b3a"
    MOMENT = "#0b5a8a"


class Stroke(Enum):
    """How a line is drawn."""

    SOLID = auto()
    DASHED = auto()
    DOTTED = auto()


class Anchor(StrEnum):
    """Which part of the words stands at their x."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


@dataclass(frozen=True, slots=True)
class Rule:
    """A straight line."""

    x1: float
    y1: float
    x2: float
    y2: float
    ink: Ink = Ink.PLAIN
    width: float = 1.0
    stroke: Stroke = Stroke.SOLID


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle by its upper left corner."""

    x: float
    y: float
    width: float
    height: float
    fill: Ink
    edge: Ink | None = None
    """None draws no edge."""
    stroke: Stroke = Stroke.SOLID
    edge_width: float = 2.0


@dataclass(frozen=True, slots=True)
class Disc:
    """A filled circle by its centre."""

    x: float
    y: float
    radius: float
    fill: Ink


@dataclass(frozen=True, slots=True)
class Words:
    """One line of text by its base line."""

    x: float
    y: float
    text: str
    ink: Ink = Ink.PLAIN
    size: float = 12.0
    anchor: Anchor = Anchor.START
    bold: bool = False


Shape: TypeAlias = Rule | Box | Disc | Words


@dataclass(frozen=True, slots=True)
class Drawing:
    """Shapes on a sheet; later ones cover earlier ones."""

    width: float
    height: float
    shapes: tuple[Shape, ...]


_NARROW = frozenset("iljtf.,:;'|!()[]1 ")
_WIDE = frozenset("mwMW@%")


def width_of(text: str, size: float) -> float:
    """About how wide a text is; a little more than most fonts need."""
    ems = sum(0.36 if c in _NARROW else 0.92 if c in _WIDE else 0.6 for c in text)
    return ems * size
