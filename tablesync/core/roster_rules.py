"""What a code says about who is on the sheet: shirt numbers, and how many players."""

from __future__ import annotations

import re
from enum import StrEnum

from tablesync.frozen import dataclass

__all__ = ["STARTERS", "RosterRules", "ShirtNumbers"]

STARTERS = 5
"""NFHS 3-1-1, 3-2-1; FIBA Art. 4.2.2 (2020 text)."""

_ANY = re.compile(r"00|0|[1-9][0-9]?")
_FIVES = re.compile(r"00|0|[1-5][0-5]?")


class ShirtNumbers(StrEnum):
    """Which numbers there can be on a shirt."""

    UP_TO_99 = "up_to_99"
    FIVES = "fives"
    """No digit above five, so that a referee can show each on one hand."""

    def allow(self, number: str) -> bool:
        """Whether there can be such a number."""
        pattern = _ANY if self is ShirtNumbers.UP_TO_99 else _FIVES
        return pattern.fullmatch(number) is not None

    @property
    def words(self) -> str:
        """The numbers in words, for whoever has to put one right."""
        match self:
            case ShirtNumbers.UP_TO_99:
                return "0, 00 or 1 to 99"
            case ShirtNumbers.FIVES:
                return "0, 00, 1 to 5, or two digits of which none is above 5"


@dataclass(frozen=True, slots=True)
class RosterRules:
    """Who can be on the sheet."""

    numbers: ShirtNumbers
    both_noughts: bool
    """Whether one team may have 0 and 00."""
    most_players: int | None
    """None where the code sets no limit, or none is established."""
