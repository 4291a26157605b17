"""Asks a relay for a game's sheet, before there is a journal or a session."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING

from websockets.exceptions import ConnectionClosed

from tablesync.errors import UnreachableError
from tablesync.joining import arrived
from tablesync.sockets import push
from tablesync.sync.claim import Standing
from tablesync.sync.device import DeviceSide
from tablesync.sync.effects import SheetArrived, Troubled
from tablesync.sync.intake import Archive

if TYPE_CHECKING:
    from websockets.asyncio.client import ClientConnection

    from tablesync.clock import Clock
    from tablesync.sync.claim import Claim
    from tablesync.sync.timing import Timing

__all__ = ["fetch_sheet"]


async def fetch_sheet(
    address: str, claim: Claim, clock: Clock, timing: Timing
) -> bytes:
    """Asks a relay for the exact bytes of a game's sheet.

    Args:
        address: an invitation's or a relay's text, or ws://HOST:PORT of this machine.
        claim: who asks, and for which game; it has no sheet.
        clock: the device's clock.
        timing: how long the relay may keep silent.

    Raises:
        UnreachableError: nobody answers there, or not with a sheet.
        EntryError, ProtocolError, RefusedError: one end refused the other.
    """
    socket, _ = await arrived(address, claim)
    side = DeviceSide(claim, Archive(claim.game), timing, Standing())
    side.connected(clock.now_ms())
    keeping_time = asyncio.create_task(_give_up_in_time(socket, side, clock))
    try:
        push(socket, side.frames_to_send())
        async for frame in socket:
            side.receive_frame(frame, clock.now_ms())
            if (sheet := _arrived_sheet(side)) is not None:
                return sheet
            push(socket, side.frames_to_send())
        _arrived_sheet(side)
    except ConnectionClosed as error:
        _arrived_sheet(side)
        raise UnreachableError(address, "the connection was lost") from error
    finally:
        keeping_time.cancel()
        await asyncio.gather(keeping_time, return_exceptions=True)
        await socket.close()
    raise UnreachableError(address, "the relay has left")


async def _give_up_in_time(
    socket: ClientConnection, side: DeviceSide, clock: Clock
) -> None:
    """Closes the connection when the relay has been silent for too long."""
    while not side.is_closing:
        await clock.sleep_until(side.next_deadline_ms())
        side.tick(clock.now_ms())
        push(socket, side.frames_to_send())
    await socket.close()


def _arrived_sheet(side: DeviceSide) -> bytes | None:
    """The sheet, if it has come; what the side gave the link up for is raised."""
    for effect in side.effects():
        match effect:
            case SheetArrived(sheet):
                return sheet
            case Troubled(error):
                raise error
            case _:
                pass
    return None
