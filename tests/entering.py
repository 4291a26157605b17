"""Turns the acts of a scenario into entries, as two devices would write them."""

from __future__ import annotations

from tablesync.core.acts import Seat
from tablesync.from_scenario import OPEN_KEYS, Entered, entered
from tablesync.seal import DeviceKey

__all__ = ["KEYS", "Entered", "entered"]

KEYS = {**OPEN_KEYS, Seat.VISITING: DeviceKey(b"v" * 32)}
