from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tablesync.paper.area import Area

lengths = st.floats(0.1, 300)
areas = st.builds(Area, lengths, lengths, lengths, lengths)
WHOLE = Area(10, 20, 90, 60)


def test_columns_and_rows_lie_beside_and_below_each_other() -> None:
    assert WHOLE.columns([30, 40], gap=5) == [
        Area(10, 20, 30, 60),
        Area(45, 20, 40, 60),
    ]
    assert WHOLE.rows([15, 45]) == [Area(10, 20, 90, 15), Area(10, 35, 90, 45)]
    assert WHOLE.alike(3, gap=15) == [
        Area(10, 20, 20, 60),
        Area(45, 20, 20, 60),
        Area(80, 20, 20, 60),
    ]


def test_what_is_inside_a_margin_is_held() -> None:
    inner = WHOLE.inside(2)
    assert inner == Area(12, 22, 86, 56)
    assert WHOLE.holds(inner)
    assert not inner.holds(WHOLE)
    assert (inner.right, inner.bottom) == (98, 78)


@pytest.mark.parametrize(
    ("other", "overlaps"),
    [
        (Area(100, 20, 5, 60), False),
        (Area(10, 80, 90, 5), False),
        (Area(99, 79, 5, 5), True),
        (Area(0, 0, 200, 200), True),
        (Area(20, 30, 1, 1), True),
    ],
)
def test_a_common_edge_is_no_overlap(other: Area, overlaps: bool) -> None:  # noqa: FBT001
    assert WHOLE.overlaps(other) is overlaps
    assert other.overlaps(WHOLE) is overlaps


@given(areas, st.integers(1, 40))
def test_equal_parts_fill_an_area_without_overlap(area: Area, count: int) -> None:
    parts = area.alike(count)
    assert len(parts) == count
    assert all(area.holds(part, slack=1e-4) for part in parts)
    assert parts[-1].right == pytest.approx(area.right)
    for left, right in pairwise(parts):
        assert not left.overlaps(right, slack=1e-4)
