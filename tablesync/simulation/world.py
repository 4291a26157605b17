"""What everything in one simulated game shares."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.game import Game
from tablesync.frozen import dataclass
from tablesync.simulation.disk import Disk
from tablesync.sync.courts.gathering import Courts
from tablesync.sync.device import DeviceSide
from tablesync.sync.notary import Notary
from tablesync.sync.relay import RelayGame
from tablesync.touches import TouchSieve

if TYPE_CHECKING:
    from random import Random

    from tablesync.core.rules import RuleSet
    from tablesync.core.sheet import GameSheet
    from tablesync.seal import DeviceKey
    from tablesync.simulation.faults import Toll
    from tablesync.simulation.timeline import Timeline
    from tablesync.simulation.witness import Witness

__all__ = ["REAL", "Parts", "Setting", "World"]


@dataclass(frozen=True, slots=True)
class Parts:
    """What is put to the test. Tests put wrong parts in, to see them found out."""

    device: type[DeviceSide] = DeviceSide
    relay: type[RelayGame] = RelayGame
    holder: type[Game] = Game
    disk: type[Disk] = Disk
    courts: type[Courts] = Courts
    notary: type[Notary] = Notary
    sieve: type[TouchSieve] = TouchSieve


REAL = Parts()


@dataclass(frozen=True, slots=True)
class Setting:
    """The game that is played."""

    sheet: GameSheet
    rules: RuleSet
    sheet_bytes: bytes
    game: bytes
    """The game's id."""
    relay_key: DeviceKey
    has_checkpoints: bool
    """Whether the relay signs what it holds, and devices countersign it."""


@dataclass(frozen=True, slots=True)
class World:
    """What all machines and links of one simulated game share."""

    timeline: Timeline
    random: Random
    toll: Toll
    witness: Witness
    setting: Setting
    parts: Parts
