from __future__ import annotations

import pytest

from tablesync.core.act_fields import (
    entry_id,
    flag,
    list_of,
    matching,
    one_of,
    or_none,
    same,
    text,
    whole,
    write_entry_id,
    write_list,
)
from tablesync.core.acts import EntryId, Side
from tablesync.core.vector_clock import DeviceId

DEVICE = DeviceId(b"d" * 32)


def test_readers_take_what_they_are_for() -> None:
    assert one_of(Side)("away") is Side.AWAY
    assert matching("[a-z]{2}")("ab") == "ab"
    assert or_none(whole(1, 3))(None) is None
    assert or_none(whole(1, 3))(3) == 3
    assert list_of(whole(1, 3))([3, 1]) == (3, 1)
    assert list_of(whole(1, 3))([]) == ()
    assert whole(-1, 1)(-1) == -1
    assert [flag(value) for value in (True, False)] == [True, False]
    assert text(3)("abc") == "abc"
    assert entry_id([DEVICE, 2**31]) == EntryId(DEVICE, 2**31)


@pytest.mark.parametrize(
    ("reader", "value"),
    [
        (one_of(Side), "AWAY"),
        (matching("[a-z]{2}"), "ab\n"),
        (or_none(whole(1, 3)), 4),
        (list_of(whole(1, 3)), [1, 1]),
        (list_of(whole(1, 3)), "1"),
        (whole(0, 1), True),
        (flag, 1),
        (text(3), "abcd"),
        (text(3), "\udc00"),
        (entry_id, [DEVICE, 2**31 + 1]),
    ],
)
def test_readers_refuse_the_rest(reader: object, value: object) -> None:
    assert callable(reader)
    with pytest.raises(ValueError):  # noqa: PT011 - the form says what was wrong
        reader(value)


def test_writers_give_back_plain_values() -> None:
    assert same("4") == "4"
    assert write_list(("4", "5")) == ["4", "5"]
    assert write_entry_id(EntryId(DEVICE, 7)) == [DEVICE, 7]
    assert write_entry_id(None) is None
