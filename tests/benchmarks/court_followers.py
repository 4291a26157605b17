"""Directors of a relay, in a process of their own, so that they slow down no seat's.

    python -m tests.benchmarks.court_followers ADDRESS READING SLOW MUTE

Some read as they should, some take seconds over each news, some read nothing. It says
"ready" when the first of them has all courts, and, when its input ends, prints as JSON
when that one saw each court's count of entries, and how long it waited between news.
Times are those of `time.perf_counter`, which is one clock for all processes of Linux.
"""

from __future__ import annotations

import asyncio
import json
import sys
import time
from contextlib import AsyncExitStack
from typing import TYPE_CHECKING

from websockets.asyncio.client import connect
from websockets.exceptions import ConnectionClosed

from tablesync.clock import MonotonicClock
from tablesync.court_client import CourtSession
from tablesync.sync.courts.codec import decode_courts, encode_courts
from tablesync.sync.courts.messages import News, Seen, Watch
from tablesync.sync.messages import PROTOCOL

if TYPE_CHECKING:
    from websockets.asyncio.client import ClientConnection

OPTIONS = {"compression": None, "proxy": None}
SLOW_S = 3.0
"""So long a slow director takes over each news."""


class Director:
    """Notes when each court's count of entries is shown."""

    def __init__(self, session: CourtSession) -> None:
        self.shown: dict[str, list[tuple[int, float]]] = {}
        self.silences: list[float] = []
        self._session = session

    async def look(self) -> None:
        last = time.perf_counter()
        while True:
            await self._session.wait_for_news()
            now = time.perf_counter()
            self.silences.append(now - last)
            last = now
            desk = self._session.desk
            for game in desk.take_changed():
                count = desk.courts[game].written.entries
                self.shown.setdefault(game.hex(), []).append((count, now))


async def dialled(stack: AsyncExitStack, address: str) -> ClientConnection:
    dialling = connect(address, **OPTIONS)  # type: ignore[arg-type]
    socket = await stack.enter_async_context(dialling)
    await socket.send(encode_courts(Watch(PROTOCOL)))
    return socket


async def read_slowly(socket: ClientConnection) -> None:
    try:
        async for frame in socket:
            await asyncio.sleep(SLOW_S)
            news = decode_courts(frame)
            assert isinstance(news, News)
            await socket.send(encode_courts(Seen(news.number)))
    except ConnectionClosed as closed:
        print(f"a slow director was dropped: {closed}", file=sys.stderr)


async def follow(address: str, reading: int, slow: int, mute: int) -> None:
    """Follows until the input ends."""
    async with AsyncExitStack() as stack:
        sessions = [CourtSession(address, MonotonicClock()) for _ in range(reading)]
        director = Director(sessions[0])
        tasks = [asyncio.create_task(session.follow()) for session in sessions]
        tasks.append(asyncio.create_task(director.look()))
        for _ in range(slow):
            socket = await dialled(stack, address)
            tasks.append(asyncio.create_task(read_slowly(socket)))
        silent = [await dialled(stack, address) for _ in range(mute)]
        for socket in silent:
            socket.transport.pause_reading()
        while not sessions[0].desk.is_complete:  # noqa: ASYNC110
            await asyncio.sleep(0.05)
        director.silences.clear()
        print("ready", flush=True)
        await asyncio.to_thread(sys.stdin.read)
        for task in tasks:
            task.cancel()
        for socket in silent:
            socket.transport.abort()
        print(json.dumps({"shown": director.shown, "silences": director.silences}))


def main() -> None:
    address, *numbers = sys.argv[1:]
    reading, slow, mute = map(int, numbers)
    asyncio.run(follow(address, reading, slow, mute))


if __name__ == "__main__":
    main()
