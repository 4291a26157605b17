"""The chart shows every entry it is about once, with labels that can be read."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tablesync.chart.drawing import (
    Box,
    Disc,
    Drawing,
    Ink,
    Rule,
    Stroke,
    Words,
    width_of,
)
from tablesync.chart.page import chart_of, chart_rows, stacked
from tablesync.chart.scene import LEFT, RIGHT, WIDTH, Window
from tablesync.core.act_words import clock_words
from tablesync.core.acts import Basket, Note, Points, Seat, Shown, Side
from tablesync.core.findings import Cleared
from tablesync.replay.filter import Filter, selected
from tablesync.replay.replay import EntryStep, FindingStep
from tablesync.scenario import read_scenario
from tests.recording import replay_of
from tests.telling import told

if TYPE_CHECKING:
    from tablesync.replay.replay import Replay

PATHS = sorted(Path("scenarios").glob("*.jsonl"))
MISSED = replay_of(read_scenario(Path("scenarios/basket-missed-on-the-board.jsonl")))
FOUND = next(step for step in MISSED.steps if isinstance(step, FindingStep))


def clock_at(at_ms: int) -> str:
    return clock_words(MISSED.reading(at_ms).remaining_ms)


def everything(replay: Replay) -> tuple[int, ...]:
    return selected(replay, Filter())


def texts(drawing: Drawing) -> list[str]:
    return [shape.text for shape in drawing.shapes if isinstance(shape, Words)]


def test_a_time_lies_on_the_axis_and_one_outside_at_its_edge() -> None:
    window = Window(1_000, 3_000)
    places = [window.x(t) for t in (0, 1_000, 2_000, 3_000, 9_000)]
    assert places == [LEFT, LEFT, (LEFT + RIGHT) / 2, RIGHT, RIGHT]
    assert 1_000 in window
    assert 3_001 not in window


@pytest.mark.parametrize("path", PATHS, ids=lambda path: path.stem)
def test_every_entry_has_its_mark(path: Path) -> None:
    replay = replay_of(read_scenario(path))
    marks = 0
    for row in chart_rows(replay, everything(replay), None):
        for shape in row.shapes:
            is_disc = isinstance(shape, Disc)
            is_square = isinstance(shape, Box) and shape.width == 16
            is_tick = isinstance(shape, Rule) and shape.y2 - shape.y1 == 14
            marks += is_disc or is_square or is_tick
    # What lies where two rows meet is in both of them.
    assert marks >= sum(isinstance(step, EntryStep) for step in replay.steps)


@pytest.mark.parametrize("path", PATHS, ids=lambda path: path.stem)
def test_no_label_covers_another_or_leaves_the_sheet(path: Path) -> None:
    replay = replay_of(read_scenario(path))
    for row in chart_rows(replay, everything(replay), None):
        lines: dict[float, list[tuple[float, float]]] = {}
        for shape in row.shapes:
            # The axis may run under its own labels; they are spaced by rule.
            if isinstance(shape, Words) and shape.anchor == "middle" and shape.y > 16:
                half = width_of(shape.text, shape.size) / 2
                extent = (shape.x - half, shape.x + half)
                assert extent[0] >= 0
                assert extent[1] <= WIDTH
                lines.setdefault(shape.y, []).append(extent)
        for extents in lines.values():
            extents.sort()
            for (_, end), (begin, _) in pairwise(extents):
                assert end < begin


def test_what_was_missing_and_when_it_was_found_is_shown() -> None:
    drawing = chart_of(MISSED, everything(MISSED), None)
    words = texts(drawing)
    assert "nothing here" in words
    assert f"differs from {clock_at(FOUND.at_ms)}" in words
    assert "green 13 +2" in words
    assert "Harbour Mills 7 : 10 Kestrel Park" in words
    assert words[-1] == "The referees' and the league's rulings prevail."


def test_a_moment_under_question_has_both_records_in_a_table() -> None:
    drawing = chart_of(MISSED, everything(MISSED), FOUND.at_ms)
    words = texts(drawing)
    assert f"the moment under question: 1st {clock_at(FOUND.at_ms)}" in words[1]
    assert f"open: {FOUND.finding.text}" in words
    received = MISSED.moment_at(FOUND.at_ms).others[Seat.BOOK]
    assert f"{received.count} of the board's {received.of} entries" in words
    differing = [
        shape.text
        for shape in drawing.shapes
        if isinstance(shape, Words) and shape.ink is Ink.ALERT and ":" in shape.text
    ]
    assert "5:7" in differing
    assert "5:5" in differing


def test_who_was_shown_a_finding_is_told_in_its_box() -> None:
    first = told(
        (1_000, Seat.BOOK, Basket(Side.HOME, "4", 2)),
        (90_000, Seat.BOOK, Note("later")),
    )
    id_ = next(s.finding.id for s in first.steps if isinstance(s, FindingStep))
    shown = told(
        (1_000, Seat.BOOK, Basket(Side.HOME, "4", 2)),
        (90_000, Seat.BOOK, Shown(id_, "the board lacks two")),
        (91_000, Seat.CLOCK, Shown(id_, "the board lacks two")),
        (95_000, Seat.CLOCK, Points(Side.HOME, 2)),
    )
    assert any(
        isinstance(s, FindingStep) and isinstance(s.event, Cleared) for s in shown.steps
    )
    drawing = chart_of(shown, everything(shown), None)
    assert "differs from before, shown on book before, board before" in texts(drawing)


def dashed_lanes(row: Drawing) -> set[float]:
    """The heights of the lanes that are dashed somewhere."""
    return {
        shape.y1
        for shape in row.shapes
        if isinstance(shape, Rule)
        and shape.ink is Ink.PLAIN
        and shape.stroke is Stroke.DASHED
    }


def test_a_seat_that_was_cut_off_has_a_dashed_lane() -> None:
    cut = replay_of(
        read_scenario(Path("scenarios/dispute-seat-cut-off-for-a-quarter.jsonl"))
    )
    first, *others = map(dashed_lanes, chart_rows(cut, everything(cut), None))
    assert first == set()
    assert any(len(lanes) == 2 for lanes in others)
    for row in chart_rows(MISSED, everything(MISSED), None):
        assert dashed_lanes(row) == set()


def test_a_long_time_without_an_entry_is_left_out() -> None:
    hour_ms = 3_600_000
    replay = told(
        (1_000, Seat.BOOK, Note("first")), (hour_ms, Seat.BOOK, Note("second"))
    )
    rows = chart_rows(replay, everything(replay), None)
    assert [texts(row).count("note") for row in rows] == [1, 1]


def test_what_was_not_asked_for_is_faint_and_has_no_label() -> None:
    positions = selected(MISSED, Filter(number="13"))
    [row] = chart_rows(MISSED, positions, None)
    labels = [text for text in texts(row) if "+" in text]
    assert labels == ["green 13 +2"]
    faint = [s for s in row.shapes if isinstance(s, Disc) and s.fill is Ink.FAINT]
    assert faint


def test_with_nothing_to_show_there_is_a_heading_all_the_same() -> None:
    assert chart_rows(MISSED, (), None) == ()
    assert "Harbour Mills 0 : 0 Kestrel Park" in texts(chart_of(MISSED, (), None))


def test_stacked_drawings_keep_their_shapes_in_order() -> None:
    one = Drawing(WIDTH, 10, (Words(0, 5, "one"), Rule(0, 1, 2, 3)))
    two = Drawing(WIDTH, 20, (Words(0, 5, "two"), Disc(0, 1, 2, Ink.PLAIN)))
    assert stacked([one, two]) == Drawing(
        WIDTH,
        30,
        (
            Words(0, 5, "one"),
            Rule(0, 1, 2, 3),
            Words(0, 15, "two"),
            Disc(0, 11, 2, Ink.PLAIN),
        ),
    )
