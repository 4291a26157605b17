"""Dashes cover their share of a line, and nothing beyond it."""

from __future__ import annotations

from math import hypot

import pytest

from tablesync.chart.dashes import Ends, pieces
from tablesync.chart.drawing import Stroke


def length(line: Ends) -> float:
    return hypot(line.x2 - line.x1, line.y2 - line.y1)


def test_solid_line_is_one_piece() -> None:
    line = Ends(1, 2, 30, 40)
    assert list(pieces(line, Stroke.SOLID)) == [line]


@pytest.mark.parametrize(
    ("stroke", "share"), [(Stroke.DASHED, 0.6), (Stroke.DOTTED, 1 / 6)]
)
def test_dashes_are_their_share_of_the_line_and_lie_on_it(
    stroke: Stroke, share: float
) -> None:
    line = Ends(0, 0, 180, 240)
    parts = list(pieces(line, stroke))
    assert sum(map(length, parts)) == pytest.approx(share * 300)
    assert parts[0].x1 == 0
    for part in parts:
        assert 0 <= part.x1 < part.x2 <= 180
        assert part.y1 == pytest.approx(part.x1 * 4 / 3)


def test_last_dash_ends_with_the_line_and_a_point_is_itself() -> None:
    parts = list(pieces(Ends(0, 0, 13, 0), Stroke.DASHED))
    assert parts == [Ends(0, 0, 6, 0), Ends(10, 0, 13, 0)]
    assert list(pieces(Ends(5, 5, 5, 5), Stroke.DASHED)) == [Ends(5, 5, 5, 5)]
