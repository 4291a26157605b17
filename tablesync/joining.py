"""A device gets in at a relay: sockets around `admission`, from the device's end."""

from __future__ import annotations

import asyncio
import os
from contextlib import asynccontextmanager
from typing import TYPE_CHECKING

from websockets.exceptions import ConnectionClosed

from tablesync.admission.arrival import Arrival, Redemption
from tablesync.admission.invitation import (
    SCHEME,
    RelayAddress,
    read_relay_address,
    secret_in,
)
from tablesync.admission.short_code import read_code
from tablesync.errors import UnreachableError
from tablesync.pinning import connected, connected_to_any
from tablesync.sockets import OPEN_S, push

if TYPE_CHECKING:
    from collections.abc import AsyncIterator

    from websockets.asyncio.client import ClientConnection

    from tablesync.admission.frames import Granted
    from tablesync.admission.invitation import Invitation
    from tablesync.sync.claim import Claim

__all__ = ["arrived", "redeem"]


async def arrived(
    address: str, claim: Claim
) -> tuple[ClientConnection, Granted | None]:
    """A connection to a relay that has let the device in, and the relay's word for it.

    Args:
        address: the text of an invitation or of a relay's address; or ws://HOST:PORT of
            this machine itself, where nobody is asked who they are.
        claim: who arrives, for which game and seat.

    Raises:
        WrongCertificateError: another certificate is shown there. Nothing was sent.
        UnreachableError: nobody answers there, or not to the end, or it is no address.
        ProtocolError, RefusedError: one end refused the other.
    """
    socket = await connected(address)
    if not address.lower().startswith(SCHEME):
        return socket, None
    certificate = read_relay_address(address).certificate
    arrival = Arrival(claim, certificate, secret_in(address))
    try:
        async with _talking(address):
            while arrival.granted is None:
                answer = arrival.receive_frame(await socket.recv())
                push(socket, () if answer is None else (answer,))
    except BaseException:
        await socket.close()
        raise
    return socket, arrival.granted


async def redeem(host: str, port: int, code: str) -> Invitation:
    """The invitation that a short code stands for.

    Raises:
        BadInputError: the code has another form.
        UnreachableError: nobody answers there, or not to the end.
        ProtocolError, RefusedError: the code is wrong, or the relay is another one.
    """
    parts = read_code(code)
    socket, certificate = await connected_to_any(host, port)
    relay = RelayAddress(host.lower(), port, certificate)
    redemption = Redemption(parts, relay, os.urandom)
    try:
        async with _talking(relay.url):
            while redemption.invitation is None:
                answer = redemption.receive_frame(await socket.recv())
                push(socket, () if answer is None else (answer,))
    finally:
        await socket.close()
    return redemption.invitation


@asynccontextmanager
async def _talking(address: str) -> AsyncIterator[None]:
    """Turns what ends a talk too early into our own error."""
    where = address.split("/")[2]
    try:
        async with asyncio.timeout(OPEN_S):
            yield
    except ConnectionClosed as error:
        raise UnreachableError(where, "the connection was lost") from error
    except TimeoutError as error:
        raise UnreachableError(where, "it has fallen silent") from error
