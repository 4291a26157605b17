"""How both ends use websockets: no compression, small limits, no waiting to send.

Frames are handed to the socket at once, all that there are for it in one write, since a
write costs more than what is in it. What the other end does not read piles up in
the socket's buffer; beyond a limit the connection is dropped, never a frame of it. The
other end then connects anew and is sent what it lacks.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from websockets.protocol import State

from tablesync.fault_points import FaultPoint, reach

if TYPE_CHECKING:
    from collections.abc import Sequence

    from websockets.asyncio.connection import Connection

__all__ = ["CLOSE_S", "MOST_WAITING", "OPEN_S", "push"]

OPEN_S = 5.0
"""Who has not finished the opening handshake by then is turned away."""
CLOSE_S = 1.0
"""How long the other end may take to agree to closing."""
MOST_WAITING = 32
"""Frames that have arrived and wait for us; the network holds the rest back."""
MOST_UNSENT = 1024 * 1024
"""Bytes that may wait for a slow reader before more is said to it."""


def push(socket: Connection, frames: Sequence[bytes]) -> None:
    """Sends frames without waiting, or drops a connection whose other end reads not."""
    if not frames:
        return
    if socket.transport.get_write_buffer_size() > MOST_UNSENT:
        socket.transport.abort()
        return
    protocol = socket.protocol
    if protocol.state is not State.OPEN:
        return
    reach(FaultPoint.BEFORE_SENDING)
    for frame in frames:
        protocol.send_binary(frame)
    socket.transport.writelines(protocol.data_to_send())
    reach(FaultPoint.AMID_SENDING)
