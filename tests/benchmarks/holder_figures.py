"""What holding a game takes: catch-up, memory, and the cost of one more entry."""

from __future__ import annotations

import asyncio
import time
from typing import TYPE_CHECKING

from tablesync.core.acts import Basket, Note, Seat, Side
from tablesync.core.game import Game
from tablesync.core.vector_clock import VectorClock
from tablesync.rule_file import rules_of
from tablesync.seal import Pen, unseal
from tablesync.sheet_bytes import read_sheet
from tablesync.sync.codec import encode
from tablesync.sync.intake import Archive
from tablesync.sync.messages import PROTOCOL, Entries, Hello, Sealed
from tablesync.sync.relay import RelayGame
from tablesync.sync.timing import Timing
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
    from collections.abc import Callable, Sequence

    from tablesync.core.entries import Entry

__all__ = ["catch_up", "flatness", "memory"]

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


def _entries(count: int) -> list[Entry]:
    """A clock's opening, and then the book."""
    clock, book = claim_of(0, Seat.CLOCK), claim_of(0, Seat.BOOK)
    opening = Pen(clock.key, Seat.CLOCK, clock.game).write(
        Note("here"), VectorClock(), 1
    )
    pen = Pen(book.key, Seat.BOOK, book.game)
    seen = VectorClock({clock.key.device: 1})
    acts = (Basket(Side.HOME, "4", 2), Basket(Side.AWAY, "12", 3))
    rest = [pen.write(acts[n % 2], seen, 1_000 * n + 2) for n in range(count)]
    return [opening, *rest]


def _cost_at(
    costs_s: Sequence[float],
    place: int,
) -> float:
    """The usual cost near a place: the median of the hundred after it."""
    near = sorted(costs_s[place : place + 100])
    return near[len(near) // 2]


def _note_flatness(figure: Figure, costs_s: Sequence[float]) -> None:
    figure.note(_cost_at(costs_s, 9_900) * 1e6, _cost_at(costs_s, 10) * 1e6)


def flatness(rounds: int) -> list[Figure]:
    """One more entry, after 10,000 and after 10."""

    def figure(what: str) -> Figure:
        tenth = "the same at the 10th"
        name = f"{what}, the 10,000th entry"
        return Figure(name, "µs", tenth, Goal.AT_MOST, 1.2)

    names = ("read an entry", "take into the history", "relay: take and pass on")
    reading, history, relaying = figures = [figure(name) for name in names]
    folding = figure("fold and check")
    entries = _entries(10_010)
    for _ in range(rounds):
        _note_flatness(reading, _costs_s(entries, _read))
        archive = Archive(claim_of(0, Seat.BOOK).game)
        _note_flatness(history, _costs_s(entries, archive.receive))
        _note_flatness(relaying, _costs_s(entries, _relaying()))
    game = _new_game()

    def fold(entry: Entry) -> None:
        game.receive(entry)
        game.advance()

    _note_flatness(folding, _costs_s(entries, fold))
    return [*figures, folding]


def _read(entry: Entry) -> None:
    unseal(entry.payload, entry.signature)


def _relaying() -> Callable[[Entry], object]:
    book, clock = claim_of(0, Seat.BOOK), claim_of(0, Seat.CLOCK)
    game = RelayGame(Archive(book.game), book.sheet, Timing())
    sides = {
        claim.key.device: game.admit(
            Hello(PROTOCOL, claim.game, claim.key.device, claim.seat, {}), 0
        )
        for claim in (book, clock)
    }

    def take(entry: Entry) -> None:
        side = sides[entry.id.device]
        arrivals = side.read(
            [encode(Entries((Sealed(entry.payload, entry.signature),)))]
        )
        for batch in arrivals.batches():
            batch.is_vouched_for = True
        side.receive(arrivals, 0)
        game.effects()
        game.committed((entry,))
        for one in sides.values():
            one.frames_to_send()

    return take


def _costs_s(entries: Sequence[Entry], take: Callable[[Entry], object]) -> list[float]:
    costs_s = []
    for entry in entries:
        began = time.perf_counter()
        take(entry)
        costs_s.append(time.perf_counter() - began)
    return costs_s
