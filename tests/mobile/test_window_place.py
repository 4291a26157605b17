from __future__ import annotations

import re

import pytest

from mobile.window_place import WIDE, WindowPlace, side_by_side, window_named


def test_a_place_is_read_as_it_is_written() -> None:
    place = WindowPlace((960, 800), (960, 0))
    assert str(place) == "960x800+960+0"
    assert window_named(str(place)) == place


@pytest.mark.parametrize("text", ["", "960x800", "960x800-1+0", "axb+0+0"])
def test_anything_else_is_no_place(text: str) -> None:
    with pytest.raises(ValueError, match=f"^{re.escape(text)}$"):
        window_named(text)


@pytest.mark.parametrize("screen", [(1920, 1080), (1366, 768), (2560, 1440)])
def test_two_windows_stand_beside_each_other_on_the_screen(
    screen: tuple[int, int],
) -> None:
    one, other = side_by_side(screen)
    assert one.size == other.size
    assert one.corner[0] + one.size[0] <= other.corner[0]
    assert other.corner[0] + other.size[0] <= screen[0]
    assert one.size[1] < screen[1]


@pytest.mark.parametrize("screen", [None, (1024, 768)])
def test_where_there_is_no_room_both_can_at_least_be_seen(
    screen: tuple[int, int] | None,
) -> None:
    one, other = side_by_side(screen)
    assert one.size == other.size == WIDE
    assert one.corner != other.corner
