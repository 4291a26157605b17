"""A relay's connection that hands frames on as they come.

The websockets library puts every message into a queue and wakes the task that reads
it: a turn of the loop for each. Whoever takes frames without waiting is given them at
once. What is out of the ordinary, a text or a message in pieces, takes the long way
all the same, and so does whatever comes while something waits there: the order stays.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from websockets.asyncio.server import ServerConnection
from websockets.frames import DATA_OPCODES, Frame, Opcode

if TYPE_CHECKING:
    from collections.abc import Callable

    from websockets.protocol import Event

__all__ = ["SeatSocket"]


class SeatSocket(ServerConnection):
    """A connection, to be read with `recv` or by way of `hand_on`."""

    def __init__(self, *arguments: Any, **options: Any) -> None:
        super().__init__(*arguments, **options)
        self.hand_on: Callable[[bytes], None] | None = None
        """Takes whole frames of bytes; None while somebody reads them."""
        self._unread = 0

    def process_event(self, event: Event) -> None:
        """Takes what has come from the network: called by the library."""
        if isinstance(event, Frame) and event.opcode in DATA_OPCODES:
            is_whole = event.opcode is Opcode.BINARY and event.fin
            if is_whole and not self._unread and self.hand_on is not None:
                self.hand_on(bytes(event.data))
                return
            self._unread += event.fin
        super().process_event(event)

    async def recv(self, decode: bool | None = None) -> Any:  # noqa: FBT001
        """The next message that was not handed on; see `ServerConnection.recv`."""
        message = await super().recv(decode)
        self._unread -= 1
        return message
