"""Plays one simulated game: chaos, healing, and a look at what must hold."""

from __future__ import annotations

from collections import Counter
from functools import partial
from hashlib import sha256
from random import Random
from typing import TYPE_CHECKING

from tablesync.core.acts import Seat
from tablesync.errors import BrokenInvariantError, EntryError
from tablesync.frozen import dataclass
from tablesync.seal import DeviceKey
from tablesync.sheet_bytes import game_id, write_sheet
from tablesync.sheet_rules import rules_of
from tablesync.simulation.beside import plan_beside, set_up_director
from tablesync.simulation.device_mishaps import DEVICE_MISHAPS
from tablesync.simulation.faults import Fault
from tablesync.simulation.fingers import Fingers
from tablesync.simulation.forgeries import FORGERIES
from tablesync.simulation.invariants import require_all
from tablesync.simulation.link_mishaps import LINK_MISHAPS
from tablesync.simulation.machine_mishaps import MACHINE_MISHAPS, TRAPS
from tablesync.simulation.network import Weather
from tablesync.simulation.script import made_up_sheet, write_script
from tablesync.simulation.settling import survivors, unsettled
from tablesync.simulation.table import DAY_MS, Table
from tablesync.simulation.timeline import Timeline
from tablesync.simulation.witness import Invariant, Witness
from tablesync.simulation.world import REAL, Setting, World

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from tablesync.simulation.faults import Toll
    from tablesync.simulation.world import Parts

__all__ = ["MISHAPS", "Outcome", "play"]

PLAYS = (6, 24)
MOST_MISHAPS = 12
MOST_FORGERIES = 6
CHECKED = 0.5
"""The share of the games in which the relay signs checkpoints."""
GLIMPSES = 4
BOUND_MS = 20_000
"""After healing all must be in sync within this."""
ANSWER_MS = 1_000
"""Within this everything that was said in peace is answered."""
LOOK_EVERY_MS = 101
STAYS_MS = 3_000
"""How long it is watched that all stay in sync."""
FRAMES_PER_BEAT = 4
"""A beat, its answer, and room for asking what is missing."""

MISHAPS: Mapping[Fault, Callable[[Table], bool]] = {
    **LINK_MISHAPS,
    **MACHINE_MISHAPS,
    **TRAPS,
    **DEVICE_MISHAPS,
}
"""Of these only some befall each game. What strangers try is tried in every game."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """How one game went that broke nothing."""

    seed: int
    entries: int
    toll: Toll
    in_sync_after_ms: int
    """After healing; the longest where twins were healed one after the other."""
    fingerprint: str
    """The same for the same seed, whatever the machine."""


def play(seed: int, parts: Parts = REAL) -> Outcome:
    """Plays the game of a seed.

    Raises:
        BrokenInvariantError: something was seen that must never be.
    """
    return _Run(seed, parts).outcome()


class _Run:
    """One game from its first entry to the last look."""

    def __init__(self, seed: int, parts: Parts) -> None:
        self._seed = seed
        self._random = random = Random(seed)
        self._beside = beside = Random(f"{seed} beside")
        sheet = made_up_sheet(random)
        sheet_bytes = write_sheet(sheet)
        setting = Setting(
            sheet,
            rules_of(sheet),
            sheet_bytes,
            game_id(sheet_bytes),
            DeviceKey(beside.randbytes(32)),
            has_checkpoints=beside.random() < CHECKED,
        )
        timeline, toll = Timeline(10 * DAY_MS), Counter[Fault]()
        self._world = World(timeline, random, toll, Witness(), setting, parts)
        fingers = Fingers(Random(f"{seed} fingers"), toll)
        self._table = Table(self._world, _weather(random), fingers)
        set_up_director(self._table, beside)
        for seat in (Seat.BOOK, Seat.CLOCK):
            self._table.new_device(seat)
        if random.random() < 0.15:
            self._table.new_device(Seat.VISITING)
        if random.random() < 0.6:
            self._table.new_device(None)

    def outcome(self) -> Outcome:
        """Plays the game, heals everything, and looks at it."""
        timeline = self._world.timeline
        taps = write_script(self._random, self._random.randint(*PLAYS))
        self._table.expect(taps)
        self._plan_mishaps(taps[-1].at_ms)
        plan_beside(self._table, self._beside, taps[-1].at_ms)
        timeline.run_until(timeline.now_ms + taps[-1].at_ms)
        for device in self._table.present():
            self._world.witness.saw_shown(device)
        rounds = self._table.heal()
        must_be_left = survivors(self._table)
        longest_ms = 0
        for start_round in rounds:
            start_round()
            longest_ms = max(longest_ms, self._wait_for_sync())
            self._require_peace()
        self._require_it_goes_on()
        require_all(self._table, must_be_left)
        return Outcome(
            self._seed,
            len(self._table.relay.game.history),
            self._world.toll,
            longest_ms,
            self._fingerprint(),
        )

    def _plan_mishaps(self, length_ms: int) -> None:
        """Only some kinds befall each game, so that rare ones have their chance."""
        random = self._random
        possible = [fault for fault in MISHAPS if random.random() < 0.4]
        for _ in range(random.randint(0, MOST_MISHAPS) if possible else 0):
            fault = random.choice(possible)
            self._plan(length_ms, partial(self._befall, fault, MISHAPS[fault]))
        for _ in range(random.randint(0, MOST_FORGERIES)):
            fault = random.choice(list(FORGERIES))
            self._plan(length_ms, partial(self._befall, fault, FORGERIES[fault]))
        for _ in range(GLIMPSES):
            self._plan(length_ms, self._look)

    def _plan(self, length_ms: int, happen: Callable[[], None]) -> None:
        timeline = self._world.timeline
        timeline.at(timeline.now_ms + self._random.randint(0, length_ms), happen)

    def _befall(self, fault: Fault, mishap: Callable[[Table], bool]) -> None:
        # Traps are counted when they spring.
        if mishap(self._table) and fault not in TRAPS:
            self._world.toll[fault] += 1

    def _look(self) -> None:
        present = self._table.present()
        if present:
            self._world.witness.saw_shown(self._random.choice(present))

    def _wait_for_sync(self, bound_ms: int = BOUND_MS) -> int:
        timeline = self._world.timeline
        healed_ms = timeline.now_ms
        while what := unsettled(self._table):
            if timeline.now_ms >= healed_ms + bound_ms:
                raise BrokenInvariantError(Invariant.IN_SYNC, what)
            timeline.run_until(timeline.now_ms + LOOK_EVERY_MS)
        return timeline.now_ms - healed_ms

    def _require_peace(self) -> None:
        """In sync all stay so, and say no more than that they are there."""
        table, timeline = self._table, self._world.timeline
        before = table.frames_sent
        timeline.run_until(timeline.now_ms + STAYS_MS)
        # Between a beat and its answer nobody is quiet, so one look is not enough.
        self._wait_for_sync(ANSWER_MS)
        devices = len(table.present())
        most = (STAYS_MS // 1_000 + 2) * devices * (FRAMES_PER_BEAT + devices)
        if table.frames_sent - before > most:
            raise BrokenInvariantError(
                Invariant.BOUNDED, f"{table.frames_sent - before} frames in peace"
            )

    def _require_it_goes_on(self) -> None:
        """What is entered now is soon with everybody."""
        try:
            self._table.enter_once_more()
        except EntryError as error:
            raise BrokenInvariantError(Invariant.IN_SYNC, str(error)) from error
        self._wait_for_sync()

    def _fingerprint(self) -> str:
        history = self._table.relay.game.history
        told = [entry.digest.hex() for entry in history]
        told += [f"{one}: {n}" for one, n in sorted(self._world.toll.items())]
        return sha256("\n".join(told).encode()).hexdigest()[:16]


def _weather(random: Random) -> Weather:
    """From a quiet cable to a hall full of telephones."""
    match random.randrange(4):
        case 0:
            return Weather(0.0, 0.0, 0.0, 1, 10, is_orderly=True)
        case 1:
            return Weather(0.0, 0.0, 0.0, 5, random.randint(20, 500), is_orderly=True)
        case _:
            drop, repeat = random.uniform(0.0, 0.3), random.uniform(0.0, 0.5)
            cut, most_ms = random.uniform(0.0, 0.05), random.randint(20, 700)
            return Weather(drop, repeat, cut, 0, most_ms, is_orderly=False)
