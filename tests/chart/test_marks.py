from __future__ import annotations

import pytest

from tablesync.chart.drawing import Ink, Rule, Words, width_of
from tablesync.chart.marks import SIZE, Mark, Side, Sign, shapes_of

LANE_Y = 100.0


def _mark(x: float, label: str, level: int) -> Mark:
    return Mark(x, Sign.DISC, Ink.PLAIN, label, level)


@pytest.mark.parametrize("side", Side)
def test_a_leader_breaks_where_it_passes_another_label(side: Side) -> None:
    near, far = _mark(500, "white 4 +2 and more", 0), _mark(520, "green 7 foul", 2)
    shapes = shapes_of([near, far], LANE_Y, side)
    words = next(s for s in shapes if isinstance(s, Words) and s.text == near.label)
    assert abs(far.x - words.x) < width_of(near.label, SIZE) / 2
    leader = [s for s in shapes if isinstance(s, Rule)]
    assert {rule.x1 for rule in leader} == {far.x}
    top, base = words.y - SIZE * 0.75, words.y
    for rule in leader:
        low, high = sorted((rule.y1, rule.y2))
        assert high <= top or low >= base
    assert abs(leader[-1].y2 - LANE_Y) > abs(words.y - LANE_Y)


def test_a_leader_that_passes_nothing_is_one_line() -> None:
    shapes = shapes_of(
        [_mark(100, "white", 0), _mark(900, "green", 3)], LANE_Y, Side.ABOVE
    )
    assert len([s for s in shapes if isinstance(s, Rule)]) == 1


def test_a_label_beside_its_mark_needs_no_leader() -> None:
    shapes = shapes_of([_mark(500, "white 4 +2", 0)], LANE_Y, Side.BELOW)
    assert [type(shape).__name__ for shape in shapes] == ["Disc", "Words"]
