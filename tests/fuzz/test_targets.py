"""Every reader takes its input or says what is wrong with it, whatever the input."""

from __future__ import annotations

from random import Random
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.fuzz.targets import CRASHERS, FILES, FRAMES, Target

if TYPE_CHECKING:
    from pathlib import Path

TARGETS = (*FRAMES, *FILES)
ONCE_CRASHED = sorted(CRASHERS.glob("*/*"))


def name_of(target: Target) -> str:
    return target.name


@pytest.mark.parametrize("target", TARGETS, ids=name_of)
def test_what_is_right_is_taken(target: Target) -> None:
    """Otherwise what is changed would be refused for what was wrong before."""
    assert target.seeds
    for seed in target.seeds:
        assert target.takes(seed)


@pytest.mark.parametrize("target", TARGETS, ids=name_of)
@given(seed=st.integers(0, 2**32))
def test_what_is_changed_is_taken_or_refused(target: Target, seed: int) -> None:
    target.takes(target.change(Random(seed), target.seeds))


@pytest.mark.parametrize("target", TARGETS, ids=name_of)
@given(data=st.binary(max_size=500))
def test_any_bytes_are_taken_or_refused(target: Target, data: bytes) -> None:
    target.takes(data)


@pytest.mark.parametrize("path", ONCE_CRASHED, ids=lambda path: path.name)
def test_what_once_crashed_is_taken_or_refused(path: Path) -> None:
    (target,) = (one for one in TARGETS if one.name == path.parent.name)
    target.takes(path.read_bytes())
