"""Messages are taken in their order, by whichever way they come."""

from __future__ import annotations

import asyncio
from contextlib import suppress
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from websockets.asyncio.client import connect
from websockets.asyncio.server import ServerConnection
from websockets.asyncio.server import serve as listen
from websockets.exceptions import ConnectionClosed

from tablesync.seat_socket import SeatSocket

if TYPE_CHECKING:
    from collections.abc import Sequence

whole = st.binary(min_size=1, max_size=4)
pieces = st.lists(st.binary(min_size=1, max_size=4), min_size=2, max_size=3)
texts = st.text(min_size=1, max_size=4)


def joined(message: bytes | str | list[bytes]) -> bytes | str:
    return b"".join(message) if isinstance(message, list) else message


class Reader:
    """Takes some messages by reading, and the others as they are handed on."""

    def __init__(self, first: int) -> None:
        self.first = first
        self.taken: list[bytes | str] = []
        self.handed_on = 0
        self.ended = asyncio.get_running_loop().create_future()

    async def serve(self, socket: ServerConnection) -> None:
        assert isinstance(socket, SeatSocket)
        with suppress(ConnectionClosed):
            for _ in range(self.first):
                self.taken.append(await socket.recv())
            socket.hand_on = self._take
            async for message in socket:
                self.taken.append(message)
        self.ended.set_result(None)

    def _take(self, frame: bytes) -> None:
        self.handed_on += 1
        self.taken.append(frame)


async def taken(
    messages: Sequence[bytes | str | list[bytes]], first: int, *, in_turn: bool
) -> Reader:
    """What came of messages, sent at once or each after the other had its turn."""
    reader = Reader(first)
    async with listen(
        reader.serve, "127.0.0.1", 0, create_connection=SeatSocket, compression=None
    ) as server:
        port = server.sockets[0].getsockname()[1]
        address = f"ws://127.0.0.1:{port}"
        async with connect(address, compression=None, proxy=None) as client:
            for message in messages:
                await client.send(message)
                if in_turn:
                    await (await client.ping())
        await asyncio.wait_for(reader.ended, 5)
    return reader


@given(st.lists(whole | pieces | texts, max_size=8), st.integers(0, 3), st.booleans())
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_the_order_stays(
    messages: list[bytes | str | list[bytes]],
    first: int,
    in_turn: bool,  # noqa: FBT001
) -> None:
    reader = asyncio.run(taken(messages, first, in_turn=in_turn))
    assert reader.taken == list(map(joined, messages))


async def test_whole_frames_are_handed_on_and_nothing_else() -> None:
    messages: list[bytes | str | list[bytes]] = [
        b"read",
        b"1",
        "text",
        b"2",
        [b"3", b"4"],
    ]
    reader = await taken(messages, 1, in_turn=True)
    assert reader.taken == [b"read", b"1", "text", b"2", b"34"]
    assert reader.handed_on == 2


@pytest.mark.parametrize("first", [0, 2])
async def test_a_burst_is_handed_on_in_full(first: int) -> None:
    burst = [n.to_bytes(2, "big") for n in range(2_000)]
    reader = await taken(burst, first, in_turn=False)
    assert reader.taken == burst
    assert reader.handed_on > 0
