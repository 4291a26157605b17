"""The marks on one lane: an entry each, with a label that covers no other."""

from __future__ import annotations

from dataclasses import replace
from enum import Enum, auto
from typing import TYPE_CHECKING

from tablesync.chart.drawing import (
    Anchor,
    Box,
    Disc,
    Ink,
    Rule,
    Shape,
    Stroke,
    Words,
    width_of,
)
from tablesync.chart.scene import WIDTH
from tablesync.core.act_subjects import target_of
from tablesync.core.acts import ClockStart, ClockStop, Seat
from tablesync.frozen import dataclass
from tablesync.plain_text import printable
from tablesync.replay.replay import EntryStep

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from tablesync.chart.scene import Scene, Window
    from tablesync.core.entries import Entry

__all__ = ["Mark", "Side", "Sign", "label_height", "marks_of", "shapes_of"]

SIZE = 12.0
CAPITAL = SIZE * 0.75
"""How high its letters are."""
LINE_HEIGHT = 17.0
MOST_LEVELS = 5
GAP = 8.0


class Side(Enum):
    """On which side of its lane the labels stand; the value is the direction of y."""

    ABOVE = -1
    BELOW = 1


class Sign(Enum):
    """What a mark looks like."""

    DISC = auto()
    SQUARE = auto()
    TICK = auto()
    GAP = auto()
    """An empty place: something is missing here."""


@dataclass(frozen=True, slots=True)
class Mark:
    """What stands on a lane at one time."""

    x: float
    sign: Sign
    ink: Ink
    label: str
    level: int = 0
    """How many lines away from the lane the label stands."""


def marks_of(scene: Scene, window: Window, seat: Seat) -> tuple[Mark, ...]:
    """The marks of a seat in a window, in order of time."""
    marks = [*_entries(scene, window, seat), *_gaps(scene, window, seat)]
    ends = [float("-inf")] * MOST_LEVELS
    return tuple(
        replace(mark, level=_level(ends, mark.x, mark.label))
        for mark in sorted(marks, key=lambda mark: mark.x)
    )


def _entries(scene: Scene, window: Window, seat: Seat) -> Iterator[Mark]:
    for position, step in enumerate(scene.replay.steps, start=1):
        if not isinstance(step, EntryStep) or step.entry.seat is not seat:
            continue
        if step.at_ms not in window:
            continue
        ink, label = Ink.FAINT, ""
        if position in scene.chosen:
            is_questioned = step.entry.id in scene.questioned
            ink = Ink.ALERT if is_questioned else Ink.PLAIN
            label = _label(scene, step.entry)
        yield Mark(window.x(step.at_ms), _sign(step.entry), ink, label)


def _sign(entry: Entry) -> Sign:
    if isinstance(entry.act, ClockStart | ClockStop):
        return Sign.TICK
    return Sign.SQUARE if entry.seat is Seat.CLOCK else Sign.DISC


def _gaps(scene: Scene, window: Window, seat: Seat) -> Iterator[Mark]:
    for lack in scene.pairing.lacks:
        place = scene.replay.history.place(scene.replay.history[lack.entry])
        if lack.seat is seat and place.time_ms in window:
            yield Mark(
                window.x(place.time_ms), Sign.GAP, Ink.ALERT, scene.labels.lacking
            )


def label_height(marks: Sequence[Mark]) -> float:
    """How much room the labels of a lane take."""
    return (max((mark.level for mark in marks), default=0) + 1) * LINE_HEIGHT


def _level(ends: list[float], x: float, label: str) -> int:
    """The nearest line on which the label covers no other; takes the room there."""
    if not label:
        return 0
    begin, end = _extent(x, label)
    free = (level for level, taken in enumerate(ends) if taken + GAP < begin)
    level = next(free, ends.index(min(ends)))
    ends[level] = end
    return level


def _extent(x: float, label: str) -> tuple[float, float]:
    """From where to where a label stands: over its mark, but within the sheet."""
    width = width_of(label, SIZE)
    begin = min(max(x - width / 2, GAP), WIDTH - GAP - width)
    return begin, begin + width


def _label(scene: Scene, entry: Entry) -> str:
    # The clock's starts and stops show as the shade behind the lanes.
    if isinstance(entry.act, ClockStart | ClockStop):
        return ""
    words = _tag(scene, entry)
    target = target_of(entry.act)
    if target is not None and scene.replay.history.holds(target):
        words += f" {_tag(scene, scene.replay.history[target])}"
    is_struck = entry.id in scene.struck
    return f"{words} ({scene.labels.struck})" if is_struck else words


def _tag(scene: Scene, entry: Entry) -> str:
    return printable(scene.labels.tag(entry.act, scene.replay))


def shapes_of(marks: Sequence[Mark], y: float, side: Side) -> list[Shape]:
    """The marks on the lane at y, and their labels on that side."""
    shapes: list[Shape] = []
    for mark in marks:
        shapes.append(_shape(mark, y))
        if mark.label:
            shapes += _leader(mark, marks, y, side)
            shapes.append(_words(mark, y, side))
    return shapes


def _shape(mark: Mark, y: float) -> Shape:
    x, ink = mark.x, mark.ink
    match mark.sign:
        case Sign.TICK:
            return Rule(x, y - 7, x, y + 7, ink, 2.5)
        case Sign.SQUARE:
            return Box(x - 8, y - 8, 16, 16, Ink.PAPER, ink)
        case Sign.DISC:
            return Disc(x, y, 8.5, ink)
        case Sign.GAP:
            return Box(x - 11, y - 11, 22, 22, Ink.PAPER, ink, Stroke.DASHED)


def _away(level: int) -> float:
    """How far from its lane a label begins."""
    return 16 + level * LINE_HEIGHT


def _words(mark: Mark, y: float, side: Side) -> Words:
    away = _away(mark.level)
    line = y - away if side is Side.ABOVE else y + away + CAPITAL
    middle = sum(_extent(mark.x, mark.label)) / 2
    is_questioned = mark.ink is Ink.ALERT
    return Words(
        middle, line, mark.label, mark.ink, SIZE, Anchor.MIDDLE, bold=is_questioned
    )


def _leader(mark: Mark, marks: Sequence[Mark], y: float, side: Side) -> Iterator[Rule]:
    """From a mark to its label, with a break where it passes another label."""
    passed = {
        other.level
        for other in marks
        if other.label and other.level < mark.level and _covers(other, mark.x)
    }
    begin = 9.0
    for level in (*sorted(passed), mark.level):
        end = _away(level) - 3
        if begin < end and mark.level:
            ends = (y + side.value * begin, y + side.value * end)
            yield Rule(mark.x, ends[0], mark.x, ends[1], Ink.FAINT)
        begin = _away(level) + CAPITAL + 3


def _covers(mark: Mark, x: float) -> bool:
    """Whether a mark's label stands at that place along the lane."""
    begin, end = _extent(mark.x, mark.label)
    return begin <= x <= end
