"""A bad link changes neither the book nor what is found: only when it is seen."""

from __future__ import annotations

from pathlib import Path

import pytest

from tablesync.scenario import LinkChange, read_scenario
from tablesync.simulation.faults import Fault
from tests.realgames import needs_real_games
from tests.recording import real_scenario
from tests.simulation.lossy import CLEAN, LOSSY, Played, play_over, retimed

ASTRAY_MS = 100
"""Where each way takes up to 400 ms."""
SCENARIOS = [
    path
    for path in sorted(Path("scenarios").glob("*.jsonl"))
    if not any(isinstance(s, LinkChange) for s in read_scenario(path).steps)
]


@pytest.mark.simulations
@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_book_and_findings_are_those_of_a_clean_link(path: Path) -> None:
    scenario = read_scenario(path)
    _require_same(play_over(CLEAN, scenario, 1), play_over(LOSSY, scenario, 1))


@pytest.mark.simulations
@pytest.mark.timeout(90)
@needs_real_games
@pytest.mark.parametrize("name", ["g015", "g020", "g021"])
def test_real_game_of_the_same_table_times_is_the_same_too(
    name: str, tmp_path: Path
) -> None:
    # In each of these one finding has hung on some tens of milliseconds of table time,
    # which is estimated. Given the same times, a link must make no difference at all.
    scenario = real_scenario(name, tmp_path, slips=6)
    lossy = play_over(LOSSY, scenario, 1)
    clean = play_over(CLEAN, retimed(scenario, lossy.times_ms), 1)
    assert clean.times_ms == lossy.times_ms
    _require_same(clean, lossy)


def _require_same(clean: Played, lossy: Played) -> None:
    assert lossy.kept == clean.kept
    assert lossy.found == clean.found
    assert lossy.raised == clean.raised
    assert clean.is_same_everywhere
    assert lossy.is_same_everywhere
    assert lossy.is_same_unhindered
    assert lossy.astray_ms <= ASTRAY_MS
    for fault in (Fault.FRAME_DROPPED, Fault.FRAME_REPEATED, Fault.FRAME_OVERTAKEN):
        assert clean.toll[fault] == 0 < lossy.toll[fault]
