"""Plays a scenario at a simulated table, on a link as good or as bad as one likes."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from functools import partial
from random import Random
from typing import TYPE_CHECKING

from tablesync.core.acts import EntryId, Seat, Strike
from tablesync.core.findings import Raised
from tablesync.core.game import Game
from tablesync.core.vector_clock import DeviceId
from tablesync.final import final_of
from tablesync.scenario import Enter, StrikeOut
from tablesync.seal import DeviceKey
from tablesync.sheet_bytes import game_id, write_sheet
from tablesync.simulation.clocks import WrongClock
from tablesync.simulation.faults import Fault
from tablesync.simulation.fingers import Fingers
from tablesync.simulation.machine import Outfit
from tablesync.simulation.network import Weather
from tablesync.simulation.settling import unsettled
from tablesync.simulation.table import DAY_MS, Table
from tablesync.simulation.timeline import Timeline
from tablesync.simulation.witness import Witness
from tablesync.simulation.world import REAL, Setting, World

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from tablesync.core.entries import Entry
    from tablesync.core.findings import CheckEvent, Finding
    from tablesync.scenario import Scenario
    from tablesync.simulation.disk import Contents
    from tablesync.simulation.simulated_device import SimulatedDevice

__all__ = ["CLEAN", "LOSSY", "Played", "play_over", "retimed"]

CLEAN = Weather(0.0, 0.0, 0.0, 5, 5, is_orderly=True)
"""Both ways take the same, so table time is exact."""
LOSSY = Weather(0.3, 0.2, 0.0, 0, 400, is_orderly=False)
"""Every third frame is dropped, every fifth comes twice, in 200 ms on average."""
AFTERWARDS_MS = 10 * 60_000
NOTHING_YET = EntryId(DeviceId(bytes(32)), 0)


@dataclass(frozen=True)
class Played:
    """What a play came to."""

    kept: dict[str, object]
    """The final book and board."""
    raised: frozenset[str]
    """The ids of all findings that the book's device raised at any time."""
    found: tuple[str, ...]
    """Item, side and cause of each. Where a board act could belong to either of two of
    the book's, a few milliseconds of table time can decide which of them is named, and
    the game clock's reading in the sentence may be off by as much."""
    is_same_everywhere: bool
    """Whether relay and devices have one book, one board and the same findings."""
    is_same_unhindered: bool
    """Whether the same entries, handed one by one to somebody whom no link hinders,
    give the same findings, to the byte."""
    times_ms: tuple[int, ...]
    """The table times of its entries, as times of the scenario's steps."""
    astray_ms: int
    """The most by which the table time of an entry is wrong."""
    toll: Counter[Fault]


def retimed(scenario: Scenario, times_ms: Sequence[int]) -> Scenario:
    """The same acts, entered at other times."""
    steps = zip(scenario.steps, times_ms, strict=True)
    return replace(scenario, steps=tuple(replace(s, t_ms=t_ms) for s, t_ms in steps))


class PunctualTable(Table):
    """A table at which all clocks are right."""

    def _outfit(self, contents: Contents) -> Outfit:
        clock = WrongClock(self.world.timeline.now_ms, 0, 0)
        return Outfit(self.world.parts.disk(self.world.random, contents), clock)


def play_over(weather: Weather, scenario: Scenario, seed: int) -> Played:
    """Plays a scenario's entries over links in that weather."""
    random = Random(seed)
    sheet = write_sheet(scenario.sheet)
    setting = Setting(
        scenario.sheet,
        scenario.rules,
        sheet,
        game_id(sheet),
        DeviceKey(b"r" * 32),
        has_checkpoints=False,
    )
    timeline, toll = Timeline(10 * DAY_MS), Counter[Fault]()
    world = World(timeline, random, toll, Witness(), setting, REAL)
    table = PunctualTable(world, weather, Fingers(Random(seed), toll))
    devices = {seat: table.new_device(seat) for seat in (Seat.BOOK, Seat.CLOCK)}
    timeline.run_until(timeline.now_ms + 10_000)
    began_ms = timeline.now_ms
    ids: dict[str, EntryId] = {}
    written_ms: dict[int, int] = {}
    entered_ms: dict[EntryId, int] = {}

    def enter(place: int, step: Enter) -> None:
        entry = _enter(devices[step.seat], step, ids)
        entered_ms[entry.id] = timeline.now_ms
        written_ms[place] = entry.table_time_ms - began_ms

    for place, step in enumerate(scenario.steps):
        if isinstance(step, Enter):
            timeline.at(began_ms + step.t_ms, partial(enter, place, step))
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
    raised = _raised(book.events)
    history = book.game.history
    unhindered = _unhindered(setting, history, book.game.horizon_ms)
    return Played(
        {key: what for key, what in finals[0].items() if key != "open_findings"},
        frozenset(finding.id for finding in raised),
        tuple(sorted(f"{f.item} {f.side} {f.cause}" for f in raised)),
        all(one == finals[0] for one in finals)
        and all(one == findings[0] for one in findings),
        unhindered == raised,
        tuple(written_ms.get(n, one.t_ms) for n, one in enumerate(scenario.steps)),
        max(abs(one.table_time_ms - entered_ms[one.id]) for one in history),
        toll,
    )


def _raised(events: Iterable[CheckEvent]) -> list[Finding]:
    return [event.finding for event in events if isinstance(event, Raised)]


def _unhindered(
    setting: Setting, entries: Iterable[Entry], horizon_ms: int
) -> list[Finding]:
    """What is raised by somebody who is handed every entry as soon as it is written."""
    game = Game(setting.sheet, setting.rules, setting.game)
    events: list[CheckEvent] = []
    for entry in entries:
        game.receive(entry)
        for seat in (Seat.BOOK, Seat.CLOCK):
            game.hear(seat, NOTHING_YET, game.history.place(entry).time_ms)
        events += game.advance()
    for seat in (Seat.BOOK, Seat.CLOCK):
        game.hear(seat, NOTHING_YET, horizon_ms)
    return _raised([*events, *game.advance()])


def _enter(device: SimulatedDevice, step: Enter, ids: dict[str, EntryId]) -> Entry:
    act = step.act
    if isinstance(act, StrikeOut):
        act = Strike(ids[act.label])
    entry = device.enter(act)
    if step.label is not None:
        ids[step.label] = entry.id
    return entry
