"""The simulator on trial: deliberate mistakes, each of which it must find out."""

from __future__ import annotations

from dataclasses import astuple
from typing import TYPE_CHECKING

import pytest

from tablesync.errors import BrokenInvariantError
from tablesync.seal import unseal
from tablesync.simulation.run import play
from tablesync.simulation.world import REAL, Parts
from tests.simulation.wrong_parts import (
    WRONG_COURTS,
    WRONG_DEVICES,
    WRONG_DISKS,
    WRONG_HOLDERS,
    WRONG_NOTARIES,
    WRONG_RELAYS,
    WRONG_SIEVES,
)

if TYPE_CHECKING:
    from collections.abc import Iterable

    from tablesync.core.entries import Entry
    from tablesync.database import Row
    from tablesync.sync.intake import Holder

pytestmark = pytest.mark.simulations

GAMES = 60
"""A mistake that shows in fewer games than one of so many is not found out here."""
SHOWN_BY = {
    "AcknowledgesTheNewest": 123,
    "AsksNeverAgain": 8,
    "ForgetsWhatItOwes": 2062,
    "GivesEntriesNewNumbers": 2,
    "LeavesRestToChance": 29,
    "OrdersByArrival": 2,
    "PromisesTooMuch": 23,
    "SeatsAnybody": 28,
    "TrustsWallClocks": 9,
}
"""The seeds that show a mistake soonest: the search begins with them. Where that game
has changed since, the games after it are searched."""

WRONG = [
    *(Parts(device=device) for device in WRONG_DEVICES),
    *(Parts(relay=relay) for relay in WRONG_RELAYS),
    *(Parts(holder=holder) for holder in WRONG_HOLDERS),
    *(Parts(disk=disk) for disk in WRONG_DISKS),
    *(Parts(notary=notary) for notary in WRONG_NOTARIES),
    *(Parts(courts=courts) for courts in WRONG_COURTS),
    *(Parts(sieve=sieve) for sieve in WRONG_SIEVES),
]


def name_of(parts: Parts) -> str:
    ours, right = astuple(parts), astuple(REAL)
    (one,) = (a for a, b in zip(ours, right, strict=True) if a is not b)
    assert isinstance(one, type)
    return one.__name__


def require_found_out(parts: Parts, first: int = 1) -> None:
    for seed in range(first, first + GAMES):
        try:
            play(seed, parts)
        except BrokenInvariantError:
            return
    pytest.fail(f"{GAMES} games have shown nothing")


@pytest.mark.timeout(120)
@pytest.mark.parametrize("parts", WRONG, ids=name_of)
def test_simulator_finds_out_a_part_that(parts: Parts) -> None:
    require_found_out(parts, SHOWN_BY.get(name_of(parts), 1))


def test_simulator_finds_out_that_signatures_are_not_looked_at(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def believe(_entry: Entry) -> None:
        pass

    monkeypatch.setattr("tablesync.sync.intake.verify", believe)
    require_found_out(REAL)


@pytest.mark.timeout(120)
def test_simulator_finds_out_that_stored_hashes_are_not_looked_at(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def believe(rows: Iterable[Row], holder: Holder, _where: str) -> None:
        for _, payload, signature in rows:
            holder.receive(unseal(payload, signature))

    monkeypatch.setattr("tablesync.simulation.disk.restore", believe)
    require_found_out(REAL, 24)
