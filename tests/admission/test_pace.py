"""How fast a device may send entries."""

from __future__ import annotations

import pytest

from tablesync.admission.pace import Allowance, Pace
from tablesync.errors import TooFastError

ALLOWANCE = Allowance(at_once=100, a_second=10)


def test_whole_game_may_come_at_once() -> None:
    Pace(ALLOWANCE, 0).spend(100, 0)


def test_what_is_refused_is_not_counted_and_may_come_later() -> None:
    pace = Pace(ALLOWANCE, 0)
    pace.spend(95, 0)
    with pytest.raises(TooFastError, match="10 entries are more than the 5"):
        pace.spend(10, 0)
    pace.spend(10, 500)


def test_allowance_is_never_more_than_the_whole() -> None:
    pace = Pace(ALLOWANCE, 0)
    with pytest.raises(TooFastError):
        pace.spend(101, 3_600_000)
