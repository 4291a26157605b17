"""One row of a chart: the lanes of all seats over one span of time."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.chart.boxes import boxes
from tablesync.chart.drawing import (
    Anchor,
    Box,
    Drawing,
    Ink,
    Rule,
    Shape,
    Stroke,
    Words,
)
from tablesync.chart.marks import Side, label_height, marks_of, shapes_of
from tablesync.chart.pairing import PairKind
from tablesync.chart.scene import LEFT, RIGHT, WIDTH
from tablesync.core.acts import Seat
from tablesync.replay.replay import EntryStep
from tablesync.replay.wording import seat_words

if TYPE_CHECKING:
    from collections.abc import Mapping

    from tablesync.chart.scene import Scene, Window
    from tablesync.core.acts import EntryId

__all__ = ["row"]

TOP = 44.0
BETWEEN = 136.0
"""From one lane to the next, without the labels between them."""
MARGIN = 34.0
"""Between a lane and what is drawn between the lanes."""
TICKS_MS = (1_000, 2_000, 5_000, 10_000, 20_000, 30_000, 60_000, 120_000)
CLOSEST_TICKS = 70.0
TICK_SIZE = 12.0


def row(scene: Scene, window: Window) -> Drawing:
    """The row that shows a window."""
    first, *others = scene.replay.seats
    marks = {seat: marks_of(scene, window, seat) for seat in scene.replay.seats}
    height = TOP + label_height(marks[first])
    heights = {first: height}
    below = 0.0
    for seat in others:
        height += BETWEEN + below
        heights[seat] = height
        below = label_height(marks[seat])
    bottom = height + below + MARGIN
    shapes = [
        *_stops(scene, window, bottom),
        *_ticks(scene, window, bottom),
        *_lines(scene, window, heights),
        *_pairs(scene, window, heights),
        *_lacks(scene, window, heights),
        *_moment(scene, window, bottom),
        *boxes(scene, window, heights[first] + MARGIN, BETWEEN - 2 * MARGIN),
    ]
    for seat, y in heights.items():
        side = Side.ABOVE if seat is first else Side.BELOW
        for mark in marks[seat]:
            shapes += shapes_of(mark, y, side)
    return Drawing(WIDTH, bottom, tuple(shapes))


def _stops(scene: Scene, window: Window, bottom: float) -> list[Shape]:
    """A shade over the time in which the game clock stood."""
    worked = (
        step.at_ms
        for step in scene.replay.steps
        if isinstance(step, EntryStep) and step.entry.seat is Seat.CLOCK
    )
    inside = [at_ms for at_ms in worked if at_ms in window]
    edges = [window.from_ms, *inside]
    shapes: list[Shape] = []
    for start_ms, end_ms in zip(edges, [*inside, window.to_ms], strict=True):
        if not scene.replay.reading(start_ms).running:
            x1, x2 = window.x(start_ms), window.x(end_ms)
            shapes.append(Box(x1, 24, x2 - x1, bottom - 32, Ink.SHADE))
    return shapes


def _ticks(scene: Scene, window: Window, bottom: float) -> list[Shape]:
    """The game clock along the axis, where it has moved."""
    per_ms = (RIGHT - LEFT) / (window.to_ms - window.from_ms)
    step_ms = next((t for t in TICKS_MS if t * per_ms >= CLOSEST_TICKS), TICKS_MS[-1])
    shapes: list[Shape] = []
    before = ""
    for at_ms in range(window.from_ms, window.to_ms + 1, step_ms):
        label, x = scene.clock(at_ms), window.x(at_ms)
        shapes.append(Rule(x, 26, x, bottom - 8, Ink.FAINT, 1.0, Stroke.DOTTED))
        if label != before:
            shapes.append(Words(x, 16, label, Ink.QUIET, TICK_SIZE, Anchor.MIDDLE))
        before = label
    return shapes


def _lines(scene: Scene, window: Window, heights: Mapping[Seat, float]) -> list[Shape]:
    """The lanes, dashed where a seat was without what the others had entered."""
    shapes: list[Shape] = []
    for seat, y in heights.items():
        name = seat_words(seat).upper()
        shapes.append(Words(20, y + 5, name, Ink.PLAIN, 15, bold=True))
        drawn = LEFT
        for apart in scene.apart[seat]:
            x1, x2 = window.x(apart.from_ms), window.x(apart.to_ms)
            if x1 < x2:
                shapes.append(Rule(drawn, y, x1, y, Ink.PLAIN, 2.5))
                shapes.append(Rule(x1, y, x2, y, Ink.PLAIN, 2.5, Stroke.DASHED))
                drawn = x2
        shapes.append(Rule(drawn, y, RIGHT, y, Ink.PLAIN, 2.5))
    return shapes


def _x(scene: Scene, window: Window, id_: EntryId) -> float | None:
    """Where an entry stands in this row, or None where it is in another."""
    place = scene.replay.history.place(scene.replay.history[id_])
    return window.x(place.time_ms) if place.time_ms in window else None


def _pairs(scene: Scene, window: Window, heights: Mapping[Seat, float]) -> list[Shape]:
    shapes: list[Shape] = []
    for pair in scene.pairing.pairs:
        x1, x2 = _x(scene, window, pair.one), _x(scene, window, pair.other)
        if x1 is None or x2 is None:
            continue
        y1, y2 = (
            heights[scene.replay.history[id_].seat] for id_ in (pair.one, pair.other)
        )
        if pair.kind is PairKind.ALIKE:
            shapes.append(Rule(x1, y1, x2, y2, Ink.QUIET, 1.2))
        else:
            shapes.append(Rule(x1, y1, x2, y2, Ink.ALERT, 2.2))
    return shapes


def _lacks(scene: Scene, window: Window, heights: Mapping[Seat, float]) -> list[Shape]:
    """From an entry to the empty place where its like was missing."""
    shapes: list[Shape] = []
    for lack in scene.pairing.lacks:
        x = _x(scene, window, lack.entry)
        if x is not None:
            y = heights[scene.replay.history[lack.entry].seat]
            lane = heights[lack.seat]
            shapes.append(Rule(x, y, x, lane, Ink.ALERT, 2.2, Stroke.DASHED))
    return shapes


def _moment(scene: Scene, window: Window, bottom: float) -> list[Shape]:
    if scene.at_ms is None or scene.at_ms not in window:
        return []
    x = window.x(scene.at_ms)
    return [
        Rule(x, 22, x, bottom - 4, Ink.MOMENT, 2.0),
        Box(x - 6, 20, 12, 7, Ink.MOMENT),
    ]
