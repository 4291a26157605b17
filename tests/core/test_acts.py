from __future__ import annotations

from dataclasses import FrozenInstanceError, is_dataclass
from typing import get_args

import pytest
from hypothesis import given

from tablesync.core import acts as module
from tablesync.core.acts import (
    Act,
    Basket,
    Charged,
    EntryId,
    Seat,
    Side,
    TimeOutLength,
)
from tablesync.core.vector_clock import DeviceId
from tests.strategies import ACTS, acts

ONE, OTHER = DeviceId(b"1" * 32), DeviceId(b"2" * 32)


def test_every_act_is_exported_and_can_be_made_up() -> None:
    classes = set(get_args(Act))
    assert classes == set(ACTS)
    assert {kind.__name__ for kind in classes} <= set(module.__all__)


@given(acts)
def test_an_act_is_a_value_that_nobody_can_change(act: Act) -> None:
    assert is_dataclass(act)
    assert hash(act) == hash(act)
    assert not hasattr(act, "__dict__")
    with pytest.raises((FrozenInstanceError, AttributeError, TypeError)):
        act.side = Side.HOME  # type: ignore[misc,union-attr]


def test_the_opponents_of_the_opponents_are_the_team_itself() -> None:
    assert Side.HOME.other is Side.AWAY
    assert Side.AWAY.other is Side.HOME


def test_words_of_the_record_are_those_of_the_scenario_format() -> None:
    assert [str(side) for side in Side] == ["home", "away"]
    assert [str(seat) for seat in Seat] == ["book", "clock", "visiting"]
    assert [str(charged) for charged in Charged] == ["player", "coach", "bench"]
    assert [str(length) for length in TimeOutLength] == ["full", "short"]


def test_an_entry_is_named_by_its_device_and_number() -> None:
    assert str(EntryId(ONE, 12)) == "31313131:12"


def test_entries_are_ordered_by_device_and_then_by_number() -> None:
    ids = [EntryId(OTHER, 1), EntryId(ONE, 10), EntryId(ONE, 9)]
    assert sorted(ids) == [EntryId(ONE, 9), EntryId(ONE, 10), EntryId(OTHER, 1)]


def test_numbers_of_players_are_text_so_that_nought_and_double_nought_differ() -> None:
    assert Basket(Side.HOME, "0", 2) != Basket(Side.HOME, "00", 2)
