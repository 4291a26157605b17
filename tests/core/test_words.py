from __future__ import annotations

from tablesync.core.words import ordinal


def test_numbers_in_order_as_they_are_said() -> None:
    said = [ordinal(n) for n in (1, 2, 3, 4, 10, 11, 12, 13, 21, 22, 101, 111)]
    assert said == [
        *("1st", "2nd", "3rd", "4th", "10th", "11th", "12th", "13th"),
        *("21st", "22nd", "101st", "111th"),
    ]
