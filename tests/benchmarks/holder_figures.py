"""What holding a game takes: catch-up and memory."""

from __future__ import annotations

import asyncio
import time
from typing import TYPE_CHECKING

from tablesync.core.acts import Seat
from tablesync.core.game import Game
from tablesync.sheet_bytes import read_sheet
from tablesync.sheet_rules import rules_of
from tests.benchmarks.figures import Figure, Goal
from tests.benchmarks.pairs import (
    HOST,
    claim_of,
    hang_up,
    relay_pairs,
    saturate,
    seated,
)
from tests.benchmarks.servers import floor, relay
from tests.benchmarks.wire import dial

if TYPE_CHECKING:
    from collections.abc import Callable


__all__ = ["catch_up", "memory"]

GAME = 600


def _new_game() -> Game:
    claim = claim_of(0, Seat.VISITING)
    assert claim.sheet is not None
    sheet = read_sheet(claim.sheet)
    return Game(sheet, rules_of(sheet), claim.game)


def _fold_s(game: Game) -> float:
    """How long it takes to fold entries that are read already."""
    anew = _new_game()
    began = time.perf_counter()
    for entry in game.history:
        anew.receive(entry)
    anew.advance()
    return time.perf_counter() - began


async def _bare_batch_s(port: int) -> float:
    line = await dial(HOST, port)
    came: asyncio.Future[bytes] = asyncio.get_running_loop().create_future()
    line.on_message = came.set_result
    began = time.perf_counter()
    line.send([b"send"])
    await came
    took_s = time.perf_counter() - began
    line.hang_up()
    return took_s


async def _catch_up_s(port: int) -> tuple[float, Game]:
    """From the hello to all entries read, vouched for, folded and checked."""
    writers = await relay_pairs(port, 1, GAME - 1)
    await saturate(writers, GAME - 1, 64)
    game = _new_game()
    began = time.perf_counter()
    line = await seated(port, claim_of(0, Seat.VISITING), game, GAME)
    game.advance()
    took_s = time.perf_counter() - began
    line.hang_up()
    hang_up(writers)
    return took_s, game


def catch_up(rounds: int) -> list[Figure]:
    """A device that holds nothing connects to a game of 600 entries."""
    figure = Figure(
        f"catch-up of {GAME} entries, checked and folded",
        "ms",
        "one message read from SQLite, and the fold",
        Goal.AT_MOST,
        3,
    )
    for _ in range(rounds):
        with floor("batch") as running:
            bare_s = asyncio.run(_bare_batch_s(running.port))
        with relay() as running:
            ours_s, game = asyncio.run(_catch_up_s(running.port))
        figure.note(ours_s * 1e3, (bare_s + _fold_s(game)) * 1e3)
    return [figure]


def memory(rounds: int) -> list[Figure]:
    """What the relay's memory grows by, for each of many games."""
    idle = Figure("relay, idle game, both linked", "KiB", "none", Goal.AT_MOST, 64)
    running_game = Figure(
        f"relay, running game of {GAME} entries", "KiB", "none", Goal.AT_MOST, 400
    )

    async def measure(running_port: int, resident_kib: Callable[[], int]) -> None:
        first = await relay_pairs(running_port, 10, 1)
        before = resident_kib()
        games = await relay_pairs(running_port, 60, GAME - 1, first=10)
        with_games = resident_kib()
        idle.note((with_games - before) / len(games))
        await saturate(games, GAME - 1, 16)
        running_game.note((resident_kib() - before) / len(games))
        hang_up([*first, *games])

    for _ in range(min(rounds, 2)):
        with relay() as running:
            asyncio.run(measure(running.port, running.resident_kib))
    return [idle, running_game]
