"""Makes up a game that could have been played, as two officials would enter it.

What happens on the floor is entered by both, each after a lag of their own. Now and
then one of them slips: leaves it out, enters it twice, or for the other team. Some of
that is struck out or let stand later. The rates are invented.
"""

from __future__ import annotations

from enum import Enum, auto
from typing import TYPE_CHECKING, TypeAlias

from tablesync.core.acts import (
    Act,
    Arrow,
    Basket,
    Charged,
    ClockStart,
    ClockStop,
    ClosePeriod,
    Foul,
    FreeThrow,
    Note,
    OpenPeriod,
    Points,
    Seat,
    Side,
    Substitution,
    TeamFoul,
    TimeOut,
    TimeOutLength,
)
from tablesync.core.sheet import GameSheet, Player, Team
from tablesync.core.tally import PerSide
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from collections.abc import Iterator
    from random import Random

__all__ = ["Gesture", "Tap", "made_up_sheet", "write_script"]

PERIODS = 4
NUMBERS = ("4", "5", "6", "7", "8", "9", "10", "11")
LAG_MS = (150, 2_500)
BETWEEN_PLAYS_MS = (600, 4_000)
SLIPS = 0.12
PUT_RIGHT = 0.06


class Gesture(Enum):
    """What an official does about what is on record already."""

    STRIKE_LAST = auto()
    """Strikes out the seat's last entry."""
    LET_STAND = auto()
    """Accepts the oldest finding that the device shows."""


Does: TypeAlias = Act | Gesture


@dataclass(frozen=True, slots=True)
class Tap:
    """One official enters something."""

    at_ms: int
    """From the game's beginning."""
    seat: Seat
    does: Does


def made_up_sheet(random: Random) -> GameSheet:
    """A sheet of two teams of our own; its mark makes the game another each time."""
    teams = PerSide(_team("Fen Lane", "white"), _team("Quarry Hill", "red"))
    mark = f"{random.getrandbits(64):016x}"
    return GameSheet("Fen Lane v Quarry Hill", "fiba-2024", "", teams, mark=mark)


def _team(name: str, colour: str) -> Team:
    players = tuple(
        Player(number, f"{name} {number}", number in NUMBERS[:5]) for number in NUMBERS
    )
    return Team(name, colour, f"coach of {name}", players)


def write_script(random: Random, plays: int) -> list[Tap]:
    """The taps of a whole game with so many plays, in order of time."""
    taps: list[Tap] = []
    now_ms = 0
    for seat, does in ((Seat.CLOCK, ClockStart()), *_both(OpenPeriod(1))):
        taps.append(Tap(now_ms + random.randint(*LAG_MS), seat, does))
    for play in range(1, plays + 1):
        now_ms += random.randint(*BETWEEN_PLAYS_MS)
        happens = _play(random)
        period, rest = divmod(play * PERIODS, plays)
        if rest < PERIODS and period < PERIODS:
            happens = [*_both(ClosePeriod(period)), *_both(OpenPeriod(period + 1))]
        for seat, does in _as_entered(random, happens):
            taps.append(Tap(now_ms + random.randint(*LAG_MS), seat, does))
        if random.random() < PUT_RIGHT:
            seat = random.choice((Seat.BOOK, Seat.CLOCK))
            gesture = random.choice(list(Gesture))
            taps.append(Tap(now_ms + 5 * LAG_MS[1], seat, gesture))
    return sorted(taps, key=lambda tap: tap.at_ms)


def _both(act: Act) -> list[tuple[Seat, Does]]:
    return [(Seat.BOOK, act), (Seat.CLOCK, act)]


def _play(random: Random) -> list[tuple[Seat, Does]]:
    """What happens on the floor, as each seat should enter it."""
    side, number = random.choice(list(Side)), random.choice(NUMBERS)
    match random.randrange(10):
        case 0 | 1 | 2 | 3 | 4:
            points = random.choice((2, 2, 2, 3))
            basket = Basket(side, number, points)
            return [(Seat.BOOK, basket), (Seat.CLOCK, Points(side, points))]
        case 5 | 6:
            foul = Foul(side, number, Charged.PLAYER, "personal")
            return [
                (Seat.CLOCK, ClockStop()),
                (Seat.BOOK, foul),
                (Seat.CLOCK, TeamFoul(side)),
            ]
        case 7:
            is_made = random.random() < 0.6
            throw: list[tuple[Seat, Does]] = [
                (Seat.BOOK, FreeThrow(side, number, is_made))
            ]
            return [*throw, (Seat.CLOCK, Points(side, 1))] if is_made else throw
        case 8:
            return _both(
                random.choice((TimeOut(side, TimeOutLength.FULL), Arrow(side)))
            )
        case _:
            on, off = random.sample(NUMBERS, 2)
            change = random.choice(
                (Substitution(side, (on,), (off,)), Note(f"{number} asks the time"))
            )
            return [(Seat.BOOK, change), (Seat.CLOCK, ClockStart())]


def _as_entered(
    random: Random, happens: list[tuple[Seat, Does]]
) -> Iterator[tuple[Seat, Does]]:
    """What each official makes of it."""
    for seat, does in happens:
        slip = random.random()
        if slip > SLIPS:
            yield seat, does
        elif slip > SLIPS / 2:
            yield seat, does
            yield seat, does
        elif slip > SLIPS / 4 and isinstance(does, Points):
            yield seat, Points(does.side.other, does.points)
