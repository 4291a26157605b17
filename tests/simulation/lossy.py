"""Plays a scenario at a simulated table, on a link as good or as bad as one likes."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from functools import partial
from random import Random
from typing import TYPE_CHECKING

from tablesync.core.acts import EntryId, Seat, Strike
from tablesync.core.findings import Raised
from tablesync.final import final_of
from tablesync.scenario import Enter, StrikeOut
from tablesync.sheet_bytes import game_id, write_sheet
from tablesync.simulation.clocks import WrongClock
from tablesync.simulation.faults import Fault
from tablesync.simulation.machine import Outfit
from tablesync.simulation.network import FAIR, Weather
from tablesync.simulation.settling import unsettled
from tablesync.simulation.table import DAY_MS, Table
from tablesync.simulation.timeline import Timeline
from tablesync.simulation.witness import Witness
from tablesync.simulation.world import REAL, Setting, World

if TYPE_CHECKING:
    from tablesync.scenario import Scenario
    from tablesync.simulation.disk import Contents
    from tablesync.simulation.simulated_device import SimulatedDevice

__all__ = ["CLEAN", "LOSSY", "Played", "play_over"]

CLEAN = FAIR
LOSSY = Weather(0.3, 0.2, 0.0, 0, 400, is_orderly=False)
"""Every third frame is dropped, every fifth comes twice, in 200 ms on average."""
AFTERWARDS_MS = 10 * 60_000


@dataclass(frozen=True)
class Played:
    """What a play came to."""

    kept: dict[str, object]
    """The final book and board."""
    raised: frozenset[str]
    """The ids of all findings that the book's device raised at any time."""
    found: tuple[str, ...]
    """Item, side and cause of each. Where a board act could belong to either of two of
    the book's, the time estimated over a slow link can decide which of them is named,
    and the game clock's reading in the sentence may be off by as much."""
    is_same_everywhere: bool
    toll: Counter[Fault]


class PunctualTable(Table):
    """A table at which all clocks are right."""

    def _outfit(self, contents: Contents) -> Outfit:
        clock = WrongClock(self.world.timeline.now_ms, 0, 0)
        return Outfit(self.world.parts.disk(self.world.random, contents), clock)


def play_over(weather: Weather, scenario: Scenario, seed: int) -> Played:
    """Plays a scenario's entries over links in that weather."""
    random = Random(seed)
    sheet = write_sheet(scenario.sheet)
    setting = Setting(scenario.sheet, scenario.rules, sheet, game_id(sheet))
    timeline, toll = Timeline(10 * DAY_MS), Counter[Fault]()
    world = World(timeline, random, toll, Witness(), setting, REAL)
    table = PunctualTable(world, weather)
    devices = {seat: table.new_device(seat) for seat in (Seat.BOOK, Seat.CLOCK)}
    timeline.run_until(timeline.now_ms + 10_000)
    began_ms = timeline.now_ms
    ids: dict[str, EntryId] = {}
    for step in scenario.steps:
        if isinstance(step, Enter):
            happen = partial(_enter, devices[step.seat], step, ids)
            timeline.at(began_ms + step.t_ms, happen)
    last_ms = max(step.t_ms for step in scenario.steps)
    timeline.run_until(began_ms + last_ms + AFTERWARDS_MS)
    for device in table.devices:
        device.route.mend()
    healed_ms = timeline.now_ms
    while what := unsettled(table):
        assert timeline.now_ms < healed_ms + 20_000, what
        timeline.run_until(timeline.now_ms + 101)
    horizon_ms = min(holder.game.horizon_ms for holder in table.holders())
    assert horizon_ms > began_ms + last_ms
    book = devices[Seat.BOOK]
    findings = [holder.game.open_findings() for holder in table.holders()]
    finals = [final_of(holder.game) for holder in table.holders()]
    raised = [e.finding for e in book.events if isinstance(e, Raised)]
    return Played(
        {key: what for key, what in finals[0].items() if key != "open_findings"},
        frozenset(finding.id for finding in raised),
        tuple(sorted(f"{f.item} {f.side} {f.cause}" for f in raised)),
        all(one == finals[0] for one in finals)
        and all(one == findings[0] for one in findings),
        toll,
    )


def _enter(device: SimulatedDevice, step: Enter, ids: dict[str, EntryId]) -> None:
    act = step.act
    if isinstance(act, StrikeOut):
        act = Strike(ids[act.label])
    entry = device.enter(act)
    if step.label is not None:
        ids[step.label] = entry.id
