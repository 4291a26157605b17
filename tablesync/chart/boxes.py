"""The boxes between the lanes: a finding each, from when it was found to its end."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.chart.drawing import Anchor, Box, Ink, Shape, Words, width_of
from tablesync.chart.scene import RIGHT
from tablesync.replay.finding_spans import showings_of
from tablesync.replay.wording import seat_words

if TYPE_CHECKING:
    from tablesync.chart.scene import Scene, Window
    from tablesync.replay.finding_spans import Span

__all__ = ["BOX_HEIGHT", "boxes"]

SIZE = 12.0
BOX_HEIGHT = 24.0
PADDING = 8.0
STEP = 30.0


def boxes(scene: Scene, window: Window, top: float, room: float) -> list[Shape]:
    """The boxes of all findings that were open in a window, between two heights."""
    shapes: list[Shape] = []
    down = 0.0
    for span in scene.spans:
        end_ms = window.to_ms if span.to_ms is None else span.to_ms
        if span.from_ms > window.to_ms or end_ms < window.from_ms:
            continue
        x1, x2 = window.x(span.from_ms), window.x(end_ms)
        shapes += _box(_told(scene, span), x1, x2, top + down)
        down = (down + STEP) % max(room - BOX_HEIGHT, STEP)
    return shapes


def _box(text: str, x1: float, x2: float, y: float) -> list[Shape]:
    """A box with its text inside, or where it is too short beside it."""
    needed = width_of(text, SIZE) + 2 * PADDING
    words_x, anchor = x1 + PADDING, Anchor.START
    if needed > x2 - x1:
        words_x = x2 + PADDING
        if x2 + needed > RIGHT:
            words_x, anchor = x1 - PADDING, Anchor.END
    base = y + BOX_HEIGHT - PADDING
    return [
        Box(x1, y, max(x2 - x1, 6.0), BOX_HEIGHT, Ink.PAPER, Ink.ALERT),
        Words(words_x, base, text, Ink.ALERT, SIZE, anchor, bold=True),
    ]


def _told(scene: Scene, span: Span) -> str:
    """From when the records differ, and who was shown it when."""
    shown = showings_of(scene.replay, span.finding.id)
    differs = f"differs from {scene.clock(span.from_ms)}"
    if not shown:
        return differs
    seats = (f"{seat_words(seat)} {scene.clock(t)}" for seat, t in shown.items())
    return f"{differs}, shown on {', '.join(seats)}"
