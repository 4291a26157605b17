"""What one more entry costs at the 10th, the 1,000th and the 10,000th of a game.

The three games take their entries in turn, so a slow moment of the machine slows all.
"""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

from tablesync.core.acts import Basket, OpenPeriod, Points, Seat, Side
from tablesync.core.game import Game
from tablesync.core.vector_clock import VectorClock
from tablesync.seal import Pen, unseal, verify
from tablesync.sheet_bytes import read_sheet
from tablesync.sheet_rules import rules_of
from tablesync.sync.codec import encode
from tablesync.sync.intake import Archive
from tablesync.sync.messages import PROTOCOL, Entries, Hello, Sealed
from tablesync.sync.relay import RelayGame
from tablesync.sync.timing import Timing
from tests.benchmarks.figures import Figure, Goal
from tests.benchmarks.pairs import claim_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

    from tablesync.core.acts import Act
    from tablesync.core.entries import Entry

    Taker = Callable[[Entry], float]

__all__ = ["costs", "game_of"]

FIRST = 10
LATER = (1_000, 10_000)
MEASURED = 100
"""So many entries from each place on, of which the slowest tenth is left out."""
BETWEEN_MS = 20_000
HANDS_MS = 1_800
"""The book enters what the board has shown so much before."""

BOOK, CLOCK = claim_of(0, Seat.BOOK), claim_of(0, Seat.CLOCK)


def _acts(count: int) -> Iterator[tuple[Act, Act]]:
    """What the board shows, and what the book has of it."""
    yield OpenPeriod(1), OpenPeriod(1)
    for turn in range(count):
        side, number, points = ((Side.HOME, "4", 2), (Side.AWAY, "12", 3))[turn % 2]
        yield Points(side, points), Basket(side, number, points)


def game_of(count: int) -> list[Entry]:
    """Two records that agree, each entry knowing all before it."""
    board = Pen(CLOCK.key, Seat.CLOCK, CLOCK.game)
    book = Pen(BOOK.key, Seat.BOOK, BOOK.game)
    entries = []
    for turn, (shown, booked) in enumerate(_acts(count // 2)):
        at_ms = 1_000 + turn * BETWEEN_MS
        seen_by_board = VectorClock({BOOK.key.device: turn})
        seen_by_book = VectorClock({CLOCK.key.device: turn + 1})
        entries.append(board.write(shown, seen_by_board, at_ms))
        entries.append(book.write(booked, seen_by_book, at_ms + HANDS_MS))
    return entries


def _timed(take: Callable[[Entry], object]) -> Taker:
    def timed(entry: Entry) -> float:
        began = time.perf_counter()
        take(entry)
        return time.perf_counter() - began

    return timed


def _new_game() -> Game:
    assert BOOK.sheet is not None
    sheet = read_sheet(BOOK.sheet)
    return Game(sheet, rules_of(sheet), BOOK.game)


def _folding() -> Taker:
    game = _new_game()
    receive = _timed(game.receive)

    def fold(entry: Entry) -> float:
        took_s = receive(entry)
        game.advance()
        return took_s

    return fold


def _checking() -> Taker:
    game = _new_game()
    check = _timed(lambda _entry: game.advance())

    def receive_and_check(entry: Entry) -> float:
        game.receive(entry)
        return check(entry)

    return receive_and_check


def _signing() -> Taker:
    pens = {
        claim.key.device: Pen(claim.key, claim.seat, claim.game)
        for claim in (BOOK, CLOCK)
        if claim.seat is not None
    }
    return _timed(
        lambda one: pens[one.id.device].write(one.act, one.seen, one.table_time_ms)
    )


def _framed(entry: Entry) -> bytes:
    return encode(Entries((Sealed(entry.payload, entry.signature),)))


def _relaying() -> Taker:
    game = RelayGame(Archive(BOOK.game), BOOK.sheet, Timing())
    sides = {
        claim.key.device: game.admit(
            Hello(PROTOCOL, claim.game, claim.key.device, claim.seat, {}), 0
        )
        for claim in (BOOK, CLOCK)
    }

    def take(entry: Entry) -> None:
        side = sides[entry.id.device]
        arrivals = side.read([_framed(entry)])
        for batch in arrivals.batches():
            batch.is_vouched_for = True
        side.receive(arrivals, 0)
        game.effects()
        game.committed((entry,))
        for one in sides.values():
            one.frames_to_send()

    return _timed(take)


COSTS: dict[str, Callable[[], Taker]] = {
    "sign, as one's own": _signing,
    "encode as a frame": lambda: _timed(_framed),
    "verify": lambda: _timed(verify),
    "read from its bytes": lambda: _timed(
        lambda entry: unseal(entry.payload, entry.signature)
    ),
    "take into the history": lambda: _timed(Archive(BOOK.game).receive),
    "fold": _folding,
    "check": _checking,
    "relay: take, store and pass on": _relaying,
}


def _usual(costs_s: Iterable[float]) -> float:
    in_order = sorted(costs_s)
    most = in_order[: len(in_order) * 9 // 10]
    return sum(most) / len(most)


def _costs_us(
    make: Callable[[], Taker], entries: Sequence[Entry]
) -> tuple[float, list[float]]:
    """What an entry costs at the first place, and at each of the later ones."""
    places = (FIRST, *LATER)
    takers = [make() for _ in places]
    for place, take in zip(places, takers, strict=True):
        for entry in entries[:place]:
            take(entry)
    costs_s: list[list[float]] = [[] for _ in places]
    for turn in range(MEASURED):
        for place, take, noted in zip(places, takers, costs_s, strict=True):
            noted.append(take(entries[place + turn]))
    first, *later = (_usual(noted) * 1e6 for noted in costs_s)
    return first, later


def costs(rounds: int) -> Iterator[Figure]:
    """One more entry, by what is done with it."""
    entries = game_of(max(LATER) + MEASURED)
    for name, make in COSTS.items():
        figures = [
            Figure(
                f"{name}, the {place:,}th entry",
                "µs",
                f"the same at the {FIRST}th",
                Goal.AT_MOST,
                1.2,
            )
            for place in LATER
        ]
        for _ in range(rounds):
            first, later = _costs_us(make, entries)
            for figure, cost in zip(figures, later, strict=True):
                figure.note(cost, first)
        yield from figures
