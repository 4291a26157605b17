"""Acts that only say who was told change neither record, nor what the check finds."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tablesync.core.acts import Answer, Answered, Seat, Shown, Strike
from tablesync.core.findings import Cleared, Raised
from tablesync.core.game import Game
from tablesync.core.tally import mark_of
from tablesync.core.vector_clock import VectorClock
from tablesync.final import final_of
from tablesync.scenario import Enter, Scenario, StrikeOut, read_scenario
from tablesync.seal import Pen
from tests.entering import KEYS

if TYPE_CHECKING:
    from tablesync.core.acts import Act, EntryId
    from tablesync.core.findings import CheckEvent

SCENARIOS = sorted(Path("scenarios").glob("*.jsonl"))
TOLD = (Shown("0123456789ab", "the board lacks two"), Answered("0123", Answer.HELD))


def played(
    scenario: Scenario, told: tuple[Act, ...]
) -> tuple[Game, tuple[CheckEvent, ...]]:
    """The game, with these acts by both seats after every entry of the scenario."""
    game = Game(scenario.sheet, scenario.rules, bytes(32))
    pens = {seat: Pen(KEYS[seat], seat, bytes(32)) for seat in (Seat.BOOK, Seat.CLOCK)}
    labels: dict[str, EntryId] = {}
    for step in scenario.steps:
        if not isinstance(step, Enter):
            continue
        act = step.act
        act = Strike(labels[act.label]) if isinstance(act, StrikeOut) else act
        entry = pens[step.seat].write(act, VectorClock(), step.t_ms)
        game.receive(entry)
        if step.label is not None:
            labels[step.label] = entry.id
        for extra in told:
            for pen in pens.values():
                game.receive(pen.write(extra, VectorClock(), step.t_ms + 1))
    return game, game.conclude()


def outcome(event: CheckEvent) -> tuple[object, ...]:
    """An event without what names entries: more entries mean other numbers."""
    match event:
        case Cleared(at_ms=at_ms, how=how):
            return (at_ms, how)
        case _:
            kind = "raised" if isinstance(event, Raised) else "revised"
            found = event.finding
            return (kind, found.item, found.side, found.cause, found.raised_at_ms)


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_saying_who_was_told_changes_no_record_and_no_finding(path: Path) -> None:
    scenario = read_scenario(path)
    plain, plain_events = played(scenario, ())
    told, told_events = played(scenario, TOLD)
    assert len(told.history) == 5 * len(plain.history)
    without = {"entries": None, "open_findings": None}
    assert final_of(told) | without == final_of(plain) | without
    assert list(map(outcome, told_events)) == list(map(outcome, plain_events))


@pytest.mark.parametrize("act", TOLD)
def test_the_tally_shows_nothing_of_who_was_told(act: Act) -> None:
    for scenario in map(read_scenario, SCENARIOS):
        assert mark_of(act, scenario.rules) is None
