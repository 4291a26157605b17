"""The look: every colour on the screens, light for bright gyms and dark.

A paper book and a chalk board: ink on a ground, rules, frames, slashes. Text is drawn
only with a `Pair`, so each pair that the screens can show is a field here and its
contrast is checked. No colour says anything alone: each state has a shape and a word.
"""

from __future__ import annotations

from dataclasses import fields
from enum import Enum
from typing import TYPE_CHECKING, NamedTuple

from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["PAPER", "SLATE", "Colour", "Look", "Pair", "Theme", "shirt_colour", "theme"]


class Colour(NamedTuple):
    """A colour in sRGB, 0 to 255 each."""

    red: int
    green: int
    blue: int

    @property
    def rgba(self) -> tuple[float, float, float, float]:
        """The same as fractions, opaque: what a canvas takes."""
        return (self.red / 255, self.green / 255, self.blue / 255, 1.0)


def _hex(text: str) -> Colour:
    return Colour(int(text[0:2], 16), int(text[2:4], 16), int(text[4:6], 16))


class Pair(NamedTuple):
    """What is written, and on what."""

    ink: Colour
    ground: Colour


class Look(Enum):
    """Which of the themes is shown."""

    LIGHT = "light"
    DARK = "dark"


@dataclass(frozen=True, slots=True)
class Theme:
    """All colours of one look."""

    page: Pair
    """The book page, and what stands on it."""
    soft: Pair
    """Labels and what is less important, on the page."""
    bench: Pair
    """A player who is not on court."""
    margin: Pair
    """The strip's ground and the headers."""
    margin_soft: Pair
    filled: Pair
    """A box that is written full: a foul, a chosen key, a key under the finger."""
    settling: Pair
    """On the hatching; the ground is the hatch's line, the harder of the two."""
    settling_ground: Pair
    """The same ink between the hatch's lines."""
    mismatch: Pair
    unheard: Pair
    key: Pair
    key_off: Pair
    """A key that has nothing to do at the moment."""
    notice: Pair
    rule: Colour
    """Thin lines between rows and boxes."""
    line: Colour
    """Frames of keys, and lines between areas."""
    frame: Colour
    """The thick frame of a mismatch."""

    def pairs(self) -> Iterator[tuple[str, Pair]]:
        """Every pair in which text can be drawn, by name."""
        for field in fields(self):
            value = getattr(self, field.name)
            if isinstance(value, Pair):
                yield field.name, value


_INK, _CHALK = _hex("16181A"), _hex("F4F1E8")
_RUST, _EMBER = _hex("A33800"), _hex("FF9257")

PAPER = Theme(
    page=Pair(_INK, _hex("FFFFFF")),
    soft=Pair(_hex("56534A"), _hex("FFFFFF")),
    bench=Pair(_hex("56534A"), _hex("EFEBE0")),
    margin=Pair(_INK, _hex("FAF8F2")),
    margin_soft=Pair(_hex("56534A"), _hex("FAF8F2")),
    filled=Pair(_hex("FFFFFF"), _INK),
    settling=Pair(_hex("004C7F"), _hex("CFE2F0")),
    settling_ground=Pair(_hex("004C7F"), _hex("FAF8F2")),
    mismatch=Pair(_RUST, _hex("FFFFFF")),
    unheard=Pair(_hex("56534A"), _hex("E4DFD1")),
    key=Pair(_INK, _hex("FFFFFF")),
    key_off=Pair(_hex("6A665B"), _hex("F4F1E8")),
    notice=Pair(_INK, _hex("F6E7A8")),
    rule=_hex("C9C3B2"),
    line=_INK,
    frame=_RUST,
)
"""Ink on paper."""

SLATE = Theme(
    page=Pair(_CHALK, _hex("12181B")),
    soft=Pair(_hex("B4B1A5"), _hex("12181B")),
    bench=Pair(_hex("B4B1A5"), _hex("20282C")),
    margin=Pair(_CHALK, _hex("0C1113")),
    margin_soft=Pair(_hex("B4B1A5"), _hex("0C1113")),
    filled=Pair(_hex("0C1113"), _CHALK),
    settling=Pair(_hex("86CBF7"), _hex("18384C")),
    settling_ground=Pair(_hex("86CBF7"), _hex("0C1113")),
    mismatch=Pair(_EMBER, _hex("12181B")),
    unheard=Pair(_hex("B4B1A5"), _hex("2A3337")),
    key=Pair(_CHALK, _hex("12181B")),
    key_off=Pair(_hex("98958A"), _hex("171E22")),
    notice=Pair(_hex("0C1113"), _hex("E9D27A")),
    rule=_hex("3B464B"),
    line=_CHALK,
    frame=_EMBER,
)
"""Chalk on slate."""


def theme(look: Look) -> Theme:
    """The theme of a look."""
    match look:
        case Look.LIGHT:
            return PAPER
        case Look.DARK:
            return SLATE


_SHIRTS = {
    "white": _hex("FFFFFF"),
    "black": _hex("111111"),
    "grey": _hex("8A8F94"),
    "gray": _hex("8A8F94"),
    "red": _hex("C8202F"),
    "maroon": _hex("6E1423"),
    "orange": _hex("EE7A1B"),
    "gold": _hex("D9A520"),
    "yellow": _hex("F5D327"),
    "green": _hex("1F7A4C"),
    "blue": _hex("1F5FBF"),
    "navy": _hex("1B2A55"),
    "purple": _hex("6A3FA0"),
    "pink": _hex("E58BB0"),
    "brown": _hex("6B4A2F"),
    "teal": _hex("16808A"),
}


def shirt_colour(name: str) -> Colour | None:
    """The colour of a shirt by its word on the sheet, or None for a word unknown here.

    A swatch only ever stands beside the team's name.
    """
    return _SHIRTS.get(name.strip().casefold())
