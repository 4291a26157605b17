"""The chart of a game from its heading to its legend."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from tablesync.box_score import RULINGS_PREVAIL
from tablesync.chart.drawing import (
    Box,
    Disc,
    Drawing,
    Ink,
    Rule,
    Shape,
    Stroke,
    Words,
)
from tablesync.chart.row import row
from tablesync.chart.scene import WIDTH, Window, scene_of
from tablesync.core.acts import Seat, Side
from tablesync.plain_text import printable
from tablesync.replay.lines import Narrator
from tablesync.replay.moment_table import moment_rows
from tablesync.replay.moments import moment_words
from tablesync.replay.wording import seat_words

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from tablesync.replay.replay import Moment, Replay

__all__ = ["chart_of", "chart_rows", "legend", "stacked"]

MARGIN_MS = 6_000
"""Before the first step and after the last."""
ONE_ROW_MS = 160_000
"""What is no longer fits one row."""
ROW_MS = 120_000
SHORTEST_MS = 30_000


def chart_of(replay: Replay, positions: Sequence[int], at_ms: int | None) -> Drawing:
    """The chart of some steps of a game, with whatever was entered between them.

    Args:
        replay: the game.
        positions: the positions right after the steps, see `replay_filter.selected`.
        at_ms: the moment under question, which is marked and shown as a table.
    """
    parts = [
        _heading(replay, positions, at_ms),
        *chart_rows(replay, positions, at_ms),
        legend(),
    ]
    if at_ms is not None:
        parts.append(_table(replay, replay.moment_at(at_ms)))
    return stacked([*parts, _caution()])


def chart_rows(
    replay: Replay, positions: Sequence[int], at_ms: int | None
) -> tuple[Drawing, ...]:
    """The rows alone, for whoever puts them on pages."""
    scene = scene_of(replay, positions, at_ms)
    return tuple(row(scene, window) for window in _windows(replay, positions, at_ms))


def stacked(drawings: Iterable[Drawing]) -> Drawing:
    """Drawings one below the other."""
    shapes: list[Shape] = []
    down = 0.0
    for drawing in drawings:
        shapes += (_lowered(shape, down) for shape in drawing.shapes)
        down += drawing.height
    return Drawing(WIDTH, down, tuple(shapes))


def _lowered(shape: Shape, down: float) -> Shape:
    match shape:
        case Rule(y1=y1, y2=y2):
            return replace(shape, y1=y1 + down, y2=y2 + down)
        case Box(y=y) | Disc(y=y) | Words(y=y):
            return replace(shape, y=y + down)


def _windows(
    replay: Replay, positions: Sequence[int], at_ms: int | None
) -> list[Window]:
    """Spans of time that hold every step; a long time without any is left out."""
    times = [replay.steps[position - 1].at_ms for position in positions]
    times = sorted([*times, *([] if at_ms is None else [at_ms])])
    if not times:
        return []
    begin, end = times[0] - MARGIN_MS, times[-1] + MARGIN_MS
    if end - begin <= ONE_ROW_MS:
        return [Window(begin, max(end, begin + SHORTEST_MS))]
    windows: list[Window] = []
    for time in times:
        if not windows or time > windows[-1].to_ms:
            windows.append(Window(time - MARGIN_MS, time - MARGIN_MS + ROW_MS))
    return windows


def _heading(replay: Replay, positions: Sequence[int], at_ms: int | None) -> Drawing:
    sheet = replay.sheet
    last = positions[-1] if positions else 0
    moment = replay.moment(last) if at_ms is None else replay.moment_at(at_ms)
    score = moment.tally(Seat.BOOK).score
    home, away = (printable(sheet.teams[side].name) for side in Side)
    place = [sheet.venue, f"court {sheet.court}" if sheet.court else "", sheet.date]
    words = [part for part in place if part]
    if positions:
        ends = (replay.steps[at - 1].at_ms for at in (positions[0], positions[-1]))
        begin, end = (moment_words(replay.reading(t), replay.rules) for t in ends)
        words.append(f"{begin} to {end}")
    if at_ms is not None:
        at = moment_words(replay.reading(at_ms), replay.rules)
        words.append(f"the moment under question: {at}")
    title = f"{home} {score.home} : {score.away} {away}"
    return Drawing(
        WIDTH,
        78,
        (
            Words(20, 34, title, Ink.PLAIN, 22, bold=True),
            Words(20, 58, printable(" · ".join(words)), Ink.QUIET, 14),
        ),
    )


def legend() -> Drawing:
    """What the signs of the rows mean."""
    y = 22.0
    return Drawing(
        WIDTH,
        40,
        (
            Disc(27, y - 4, 7, Ink.PLAIN),
            Box(42, y - 11, 14, 14, Ink.PAPER, Ink.PLAIN),
            Words(64, y, "an entry", Ink.QUIET),
            Rule(150, y - 4, 180, y - 4, Ink.QUIET, 1.2),
            Words(188, y, "the same act in both", Ink.QUIET),
            Rule(350, y - 4, 380, y - 4, Ink.ALERT, 2.2, Stroke.DASHED),
            Words(388, y, "missing", Ink.QUIET),
            Rule(470, y - 4, 500, y - 4, Ink.ALERT, 2.2),
            Words(508, y, "differing, or put right late", Ink.QUIET),
            Rule(710, y - 4, 740, y - 4, Ink.PLAIN, 2.5, Stroke.DASHED),
            Words(748, y, "without what the other had entered", Ink.QUIET),
            Box(1040, y - 12, 30, 16, Ink.SHADE),
            Words(1078, y, "the clock stands", Ink.QUIET),
        ),
    )


def _table(replay: Replay, moment: Moment) -> Drawing:
    narrator = Narrator(replay)
    columns = (20.0, *(200.0 + 420.0 * n for n, _ in enumerate(replay.seats)))
    heading = (
        f"at {narrator.moment(moment.at_ms)}",
        *(seat_words(seat).upper() for seat in replay.seats),
    )
    y = 24.0
    shapes: list[Shape] = [
        Words(x, y, text, Ink.PLAIN, 14, bold=True)
        for x, text in zip(columns, heading, strict=True)
    ]
    for line in moment_rows(replay, narrator, moment):
        shapes.append(Rule(20, y + 9, WIDTH - 30, y + 9, Ink.FAINT))
        y += 28
        ink = Ink.ALERT if line.differs else Ink.PLAIN
        shapes.append(Words(columns[0], y, line.label, Ink.QUIET, 14))
        for x, cell in zip(columns[1:], line.cells, strict=True):
            shapes.append(Words(x, y, cell, ink, 14, bold=line.differs))
    for finding in moment.findings:
        y += 28
        text = f"open: {printable(finding.text)}"
        shapes.append(Words(20, y, text, Ink.ALERT, 14, bold=True))
    return Drawing(WIDTH, y + 20, tuple(shapes))


def _caution() -> Drawing:
    return Drawing(WIDTH, 40, (Words(20, 22, RULINGS_PREVAIL, Ink.QUIET, 13),))
