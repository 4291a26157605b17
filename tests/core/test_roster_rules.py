from __future__ import annotations

import pytest

from tablesync.core.roster_rules import ShirtNumbers
from tablesync.core.rulesets import rule_set

TENS = ("", "1", "2", "3", "4", "5")
NFHS_3_4_3 = ["00", *(f"{tens}{ones}" for tens in TENS for ones in "012345")]
"""The legal numbers as the rule lists them."""
POSSIBLE = ["00", *map(str, range(100))]


def test_the_numbers_of_the_high_school_code_are_those_it_lists() -> None:
    assert sorted(NFHS_3_4_3) == sorted(filter(ShirtNumbers.FIVES.allow, POSSIBLE))


def test_the_other_codes_allow_every_number_of_two_digits() -> None:
    assert all(map(ShirtNumbers.UP_TO_99.allow, POSSIBLE))


@pytest.mark.parametrize(
    "number", ["", "04", "000", "100", "-1", "7a", "٤", " 4", "4 "]
)
@pytest.mark.parametrize("numbers", ShirtNumbers)
def test_what_is_no_shirt_number_is_none_anywhere(
    number: str, numbers: ShirtNumbers
) -> None:
    assert not numbers.allow(number)


@pytest.mark.parametrize(
    ("name", "allows_6", "both_noughts", "most_players"),
    [
        ("fiba-2024", True, True, 12),
        ("nfhs-2023", False, False, None),
        ("nfhs-2022", False, False, None),
        ("ncaa-men", True, False, None),
        ("ncaa-women", True, False, None),
        ("youth", True, True, 15),
    ],
)
def test_the_rosters_of_the_codes(
    name: str, *, allows_6: bool, both_noughts: bool, most_players: int | None
) -> None:
    """FIBA 4.2.1 (2020 text), 4.3.2 (memory); NFHS 3-4-3; NCAA, 8 June 2023."""
    roster = rule_set(name).roster
    assert roster.numbers.allow("6") is allows_6
    assert roster.both_noughts is both_noughts
    assert roster.most_players == most_players
