"""Takes the seat that an invitation is for, with a journal of this device."""

from __future__ import annotations

import asyncio
import os
from contextlib import suppress
from typing import TYPE_CHECKING

from tablesync.clock import MonotonicClock
from tablesync.errors import (
    BadInputError,
    RefusedError,
    UnbegunJournalError,
    UnconfirmedError,
)
from tablesync.journal import Journal
from tablesync.seal import DeviceKey
from tablesync.sheet_bytes import read_sheet
from tablesync.sheet_fetch import fetch_sheet
from tablesync.sync.claim import Claim
from tablesync.sync.timing import Timing

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from tablesync.admission.invitation import Invitation
    from tablesync.core.sheet import GameSheet

__all__ = ["take_seat"]

AGAIN_S = 1.0
"""How often a device that waits to be confirmed asks."""


async def take_seat(
    invitation: Invitation, folder: Path, wait: Callable[[str], None]
) -> GameSheet:
    """Gets in at the relay, and begins this device's journal of the game.

    Where the device has one already it goes on with that, and asks nobody.

    Args:
        invitation: what the device was given.
        folder: the journals of this device.
        wait: is told what has to happen, once, where the seat has another device.

    Raises:
        BadInputError: the invitation is for no seat.
        WrongCertificateError, UnreachableError: that relay does not answer there.
        ProtocolError, RefusedError: one end refused the other.
        StorageError: the journal can't be made.
    """
    game, seat = invitation.game, invitation.seat
    if seat is None:
        raise BadInputError("the invitation", "it is for looking on", "one for a seat")
    path = folder / f"{game.hex()[:16]}-{seat}.journal"
    if await asyncio.to_thread(path.exists):
        with suppress(UnbegunJournalError):
            async with await Journal.open(path) as journal:
                return read_sheet(journal.claim.sheet or b"")
    claim = Claim(DeviceKey(os.urandom(32)), game, seat, None)
    sheet = await _sheet(invitation, claim, wait)
    begun = Claim(claim.key, game, seat, sheet)
    async with await Journal.create(path, begun):
        return read_sheet(sheet)


async def _sheet(
    invitation: Invitation, claim: Claim, wait: Callable[[str], None]
) -> bytes:
    """The game's sheet, as soon as the device is in."""
    clock, timing = MonotonicClock(), Timing()
    is_told = False
    while True:
        try:
            return await fetch_sheet(str(invitation), claim, clock, timing)
        except RefusedError as refused:
            if refused.code != UnconfirmedError.code:
                raise
            if not is_told:
                wait(refused.sentence)
                is_told = True
            await asyncio.sleep(AGAIN_S)
