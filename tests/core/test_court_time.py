"""Seconds on court: small cases, and the official seconds of the real games.

The scenarios made from the real games carry the order of the acts but not the game
clock: in them it stands from a substitution to the next goal. So the clock seat's acts
are laid out here from the events' own clock times, with the lag of hands at start and
stop, and the book's substitutions follow the whistle by seconds, at times only after
play has gone on.
"""

from __future__ import annotations

from collections import defaultdict
from random import Random
from typing import TYPE_CHECKING, Any

import pytest

from tablesync.core.acts import (
    Act,
    ClockStart,
    ClockStop,
    ClosePeriod,
    OpenPeriod,
    Seat,
    Side,
    Substitution,
)
from tablesync.core.board import Board
from tablesync.core.book import Book
from tablesync.core.court_time import court_time_ms
from tablesync.core.rulesets import rule_set
from tablesync.core.sheet import GameSheet, Player, Team
from tablesync.core.tally import PerSide
from tests.realgames import GAMES, game_file, needs_real_games
from tests.scribe import SHEET, Scribe

if TYPE_CHECKING:
    from collections.abc import Iterable

FIBA = rule_set("fiba-2024")
END_MS = 10**9
SIDES = {"A": Side.HOME, "B": Side.AWAY}


class Table:
    """Both seats of one game, entered in any order and folded in order of time."""

    def __init__(self, sheet: GameSheet) -> None:
        self.sheet = sheet
        self.acts: dict[Seat, list[tuple[int, Act]]] = defaultdict(list)

    def put(self, seat: Seat, at_ms: int, act: Act) -> None:
        self.acts[seat].append((at_ms, act))

    def both(self, at_ms: int, act: Act) -> None:
        self.put(Seat.BOOK, at_ms, act)
        self.put(Seat.CLOCK, at_ms, act)

    def seconds(self, at_ms: int = END_MS) -> PerSide[dict[str, float]]:
        book, board = Book(self.sheet, FIBA), Board(FIBA)
        records: list[tuple[Seat, Book | Board]] = [
            (Seat.BOOK, book),
            (Seat.CLOCK, board),
        ]
        for seat, record in records:
            scribe = Scribe(seat)
            for when_ms, act in sorted(self.acts[seat], key=lambda pair: pair[0]):
                record.apply(scribe.enter(act, when_ms))
        times = [
            court_time_ms(page, board.clock, FIBA, at_ms) for _, page in book.pages
        ]
        home, away = ({n: ms / 1000 for n, ms in one.items()} for one in times)
        return PerSide(home, away)


def swap(on: str, off: str) -> Substitution:
    return Substitution(Side.HOME, (on,), (off,))


def test_a_substitution_counts_from_what_the_clock_showed_when_it_stood() -> None:
    table = Table(SHEET)
    table.both(0, OpenPeriod(1))
    table.put(Seat.CLOCK, 1_000, ClockStart())
    table.put(Seat.CLOCK, 61_000, ClockStop())
    table.put(Seat.CLOCK, 70_000, ClockStart())
    table.put(Seat.BOOK, 72_000, swap("9", "4"))
    seconds = table.seconds(at_ms=90_000)[Side.HOME]
    assert seconds == {"4": 60, "5": 80, "6": 80, "7": 80, "8": 80, "9": 20}


def test_a_whole_period_is_its_length_whatever_the_seats_lag() -> None:
    table = Table(SHEET)
    table.put(Seat.BOOK, 0, OpenPeriod(1))
    table.put(Seat.CLOCK, 4_000, OpenPeriod(1))
    table.put(Seat.CLOCK, 5_000, ClockStart())
    table.put(Seat.CLOCK, 605_000, ClosePeriod(1))
    table.put(Seat.BOOK, 609_000, ClosePeriod(1))
    table.put(Seat.BOOK, 620_000, swap("9", "4"))
    table.put(Seat.CLOCK, 700_000, OpenPeriod(2))
    table.put(Seat.BOOK, 704_000, OpenPeriod(2))
    seconds = table.seconds(at_ms=705_000)[Side.HOME]
    assert seconds == {"4": 600, "5": 600, "6": 600, "7": 600, "8": 600, "9": 0}


def test_a_substitution_before_the_clock_seat_has_opened_counts_from_the_start() -> (
    None
):
    table = Table(SHEET)
    table.put(Seat.BOOK, 1_000, OpenPeriod(1))
    table.put(Seat.BOOK, 2_000, swap("9", "4"))
    table.put(Seat.CLOCK, 3_000, OpenPeriod(1))
    table.put(Seat.CLOCK, 4_000, ClockStart())
    seconds = table.seconds(at_ms=14_000)[Side.HOME]
    assert (seconds["4"], seconds["9"]) == (0, 10)


def test_a_substitution_after_the_clock_seat_has_moved_on_counts_to_the_end() -> None:
    table = Table(SHEET)
    table.both(0, OpenPeriod(1))
    table.put(Seat.CLOCK, 1_000, ClockStart())
    table.put(Seat.CLOCK, 700_000, OpenPeriod(2))
    table.put(Seat.BOOK, 701_000, swap("9", "4"))
    seconds = table.seconds()[Side.HOME]
    assert (seconds["4"], seconds["9"]) == (600, 0)


def test_nobody_has_played_where_the_clock_seat_has_opened_nothing() -> None:
    table = Table(SHEET)
    table.put(Seat.BOOK, 0, OpenPeriod(1))
    assert set(table.seconds()[Side.HOME].values()) == {0}


def real_sheet(game: dict[str, Any]) -> GameSheet:
    teams = [
        Team(
            name,
            "white",
            "",
            tuple(
                Player(number, number, official["starter"])
                for number, official in game["official"]["teams"][name][
                    "players"
                ].items()
            ),
        )
        for name in ("A", "B")
    ]
    return GameSheet("", "fiba-2024", "", PerSide(teams[0], teams[1]))


def moves_by_clock(
    events: Iterable[list[Any]], period: int
) -> dict[int, list[tuple[str, str, str]]]:
    """Clock seconds left to (team, number, in or out), most time left first."""
    moves: dict[int, list[tuple[str, str, str]]] = defaultdict(list)
    for of_period, remaining, team, number, kind in events:
        if of_period == period and kind in ("in", "out"):
            moves[remaining].append((team, number, kind))
    return dict(sorted(moves.items(), reverse=True))


def substitutions(moves: list[tuple[str, str, str]]) -> list[Substitution]:
    """One substitution a team; who came and went in one stoppage did not move."""
    acts = []
    for team, side in SIDES.items():
        on = {n for t, n, kind in moves if t == team and kind == "in"}
        off = {n for t, n, kind in moves if t == team and kind == "out"}
        if on ^ off:
            acts.append(Substitution(side, tuple(on - off), tuple(off - on)))
    return acts


def laid_out(game: dict[str, Any], rng: Random) -> Table:
    """Both seats of a real game, as far as substitutions and the clock go."""
    table, now = Table(real_sheet(game)), 60_000
    for period in range(1, max(event[0] for event in game["events"]) + 1):
        remaining = FIBA.period_length_ms(period) // 1000
        moves = moves_by_clock(game["events"], period)
        for act in substitutions(moves.pop(remaining, [])):
            table.put(Seat.BOOK, now - 20_000, act)
        after_the_horn = substitutions(moves.pop(0, []))
        table.both(now - 3_000, OpenPeriod(period))
        lag = rng.randint(0, 400)
        table.put(Seat.CLOCK, now + lag, ClockStart())
        for left, moved in moves.items():
            now += (remaining - left) * 1000
            remaining = left
            table.put(Seat.CLOCK, now + lag, ClockStop())
            for act in substitutions(moved):
                table.put(Seat.BOOK, now + rng.randint(1_000, 8_000), act)
            now += rng.randint(6_000, 25_000)
            lag = rng.randint(0, 400)
            table.put(Seat.CLOCK, now + lag, ClockStart())
        now += remaining * 1000
        table.both(now + 2_000, ClosePeriod(period))
        for act in after_the_horn:
            table.put(Seat.BOOK, now + 5_000, act)
        now += 120_000
    return table


# In this game's feed 12's substitute comes on with 5:33 left of the 2nd period, and he
# goes off with 5:31 left: for two seconds six are on court. The box score counts him
# off at 5:33, so that the team's seconds make 5 times 40 minutes; we go by the feed.
APART_IN_THE_FEED = {("g020", "A", "12"): 2.0}


@needs_real_games
@pytest.mark.parametrize("name", GAMES)
def test_seconds_on_court_are_the_official_ones(name: str) -> None:
    """The league's public box score, in whole seconds, as are the feed's events."""
    game = game_file(name)
    seconds = laid_out(game, Random(name)).seconds()
    for team, side in SIDES.items():
        for number, official in game["official"]["teams"][team]["players"].items():
            played = seconds[side].get(number, 0.0)
            apart = APART_IN_THE_FEED.get((name, team, number), 0.0)
            assert played == pytest.approx(official["seconds"] + apart, abs=0.5), number
