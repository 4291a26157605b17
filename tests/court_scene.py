"""Courts as a relay would follow them, made of the entries of a scenario."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from tablesync.core.acts import Seat
from tablesync.scenario import Scenario, read_scenario
from tablesync.sync.messages import Presence
from tests.entering import KEYS, Entered, entered

if TYPE_CHECKING:
    from tablesync.core.entries import Entry

__all__ = ["CLEAN", "MISSED", "beat", "made_court", "missed_court"]

MISSED = read_scenario(Path("scenarios/basket-missed-on-the-board.jsonl"))
CLEAN = read_scenario(Path("scenarios/clean-quarter.jsonl"))
PAIR = (Seat.BOOK, Seat.CLOCK)


def made_court(scenario: Scenario, mark: str) -> tuple[Scenario, Entered]:
    """A court of its own: the scenario's game under another mark."""
    sheet = replace(scenario.sheet, court=mark, mark=mark)
    own = replace(scenario, sheet=sheet)
    return own, entered(own)


def missed_court() -> tuple[Scenario, Entered]:
    """A court whose board lacks a basket of the book."""
    return made_court(MISSED, "7")


def beat(seat: Seat, entries: list[Entry], heard_ms: int) -> Presence:
    """A seat's device is linked, and has sent so many entries up to that time."""
    number = sum(entry.seat is seat for entry in entries)
    device = KEYS[seat].device
    return Presence(device, seat, is_linked=True, number=number, heard_ms=heard_ms)
