"""A bad link changes neither the book nor what is found: only when it is seen."""

from __future__ import annotations

from pathlib import Path

import pytest

from tablesync.scenario import LinkChange, read_scenario
from tablesync.simulation.faults import Fault
from tests.simulation.lossy import CLEAN, LOSSY, play_over

SCENARIOS = [
    path
    for path in sorted(Path("scenarios").glob("*.jsonl"))
    if not any(isinstance(s, LinkChange) for s in read_scenario(path).steps)
]


@pytest.mark.simulations
@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_book_and_findings_are_those_of_a_clean_link(path: Path) -> None:
    scenario = read_scenario(path)
    clean, lossy = (play_over(weather, scenario, 1) for weather in (CLEAN, LOSSY))
    assert lossy.kept == clean.kept
    assert lossy.found == clean.found
    assert lossy.raised == clean.raised
    assert clean.is_same_everywhere
    assert lossy.is_same_everywhere
    for fault in (Fault.FRAME_DROPPED, Fault.FRAME_REPEATED, Fault.FRAME_OVERTAKEN):
        assert clean.toll[fault] == 0 < lossy.toll[fault]
