"""Whole games of an invented league, made up from a seed, to be printed."""

from __future__ import annotations

from dataclasses import dataclass, field
from random import Random
from typing import TYPE_CHECKING, TypeAlias

from tablesync.core.acts import (
    Act,
    Arrow,
    Basket,
    Charged,
    ClockStart,
    ClockStop,
    ClosePeriod,
    Correction,
    Foul,
    FreeThrow,
    Note,
    OpenPeriod,
    OwnBasket,
    Points,
    Protest,
    Seat,
    Side,
    Signer,
    SignOff,
    Strike,
    Substitution,
    TeamFoul,
    TimeOut,
    TimeOutLength,
    Unavailable,
)
from tablesync.core.sheet import GameSheet, Official, Player, Team
from tablesync.core.tally import PerSide
from tablesync.sheet_rules import rules_of
from tests.telling import told_game

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from tablesync.core.acts import EntryId
    from tablesync.core.game import Game

    Line: TypeAlias = tuple[int, Seat, Act | Callable[[Sequence[EntryId]], Act]]

__all__ = ["blank_game", "made_up_game", "sheet_for"]

FIRST = (
    *("Ada", "Bo", "Cleo", "Dara", "Esme", "Finn", "Gale", "Hale"),
    *("Ivo", "Jory", "Kit", "Lark", "Milo", "Nell", "Oren"),
)
LAST = (
    *("Owusu", "Lindqvist", "Featherstone-Marchbanks", "Tarrant", "Sable", "Quill"),
    *("Oduya", "Fenn", "Marlowe", "Brand", "Iwu", "Corry", "Strand", "Venn"),
    "Ravensworth-Attenborough-Holloway",
)
KINDS = ("personal", "personal", "personal", "technical")
OFFICIALS = (
    Official("referee", "J. Holm"),
    Official("umpire", "P. Calder"),
    Official("scorer", "I. Wetherby"),
    Official("timer", "R. Salter"),
)


def _team(name: str, colour: str, size: int) -> Team:
    players = tuple(
        Player(str(4 + n if n else 0), f"{FIRST[n]} {LAST[-n]}", starter=n < 5)
        for n in range(size)
    )
    return Team(name, colour, "S. Lowell", players)


def sheet_for(rules: str, size: int) -> GameSheet:
    """A sheet under these rules, with so many players in each team."""
    teams = PerSide(
        _team("Harbour Mills", "white", size), _team("Kestrel Park", "green", size)
    )
    return GameSheet(
        "Round 3",
        rules,
        "",
        teams,
        "2",
        "2026-11-21",
        "Saltmarsh Sports Hall",
        OFFICIALS,
    )


@dataclass
class _Table:
    """Both seats of a made-up game, as their officials enter it."""

    sheet: GameSheet
    rng: Random
    lines: list[Line] = field(default_factory=list)
    now_ms: int = 0
    baskets: list[tuple[int, Basket]] = field(default_factory=list)
    """Place among the lines, and the act."""

    def __post_init__(self) -> None:
        self.court = {
            side: [p.number for p in team.players if p.starter]
            for side, team in self.sheet.teams
        }

    def enter(self, seat: Seat, act: Act | Callable[[Sequence[EntryId]], Act]) -> None:
        self.now_ms += 500
        self.lines.append((self.now_ms, seat, act))

    def both(self, act: Act) -> None:
        self.enter(Seat.BOOK, act)
        self.enter(Seat.CLOCK, act)

    def play(self, period: int, length_ms: int) -> None:
        """A period, in which something happens every twelve seconds or so."""
        self.both(OpenPeriod(period))
        end_ms = self.now_ms + length_ms
        self.enter(Seat.CLOCK, ClockStart())
        while self.now_ms < end_ms - 14_000:
            self.now_ms += self.rng.randint(8_000, 14_000)
            self._happen()
        self.now_ms = end_ms
        self.both(ClosePeriod(period))
        self.now_ms += 60_000

    def _happen(self) -> None:
        side = self.rng.choice(tuple(Side))
        number = self.rng.choice(self.court[side])
        match self.rng.randrange(12):
            case 0 | 1 | 2 | 3 | 4 | 5:
                basket = Basket(side, number, self.rng.choice((2, 2, 2, 3)))
                self.baskets.append((len(self.lines), basket))
                self.enter(Seat.BOOK, basket)
                self.enter(Seat.CLOCK, Points(side, basket.points))
            case 6 | 7:
                kind = self.rng.choice(
                    ("personal", "personal", "personal", "technical")
                )
                self.enter(Seat.CLOCK, ClockStop())
                self.enter(Seat.BOOK, Foul(side, number, Charged.PLAYER, kind))
                self.enter(Seat.CLOCK, TeamFoul(side))
                shooter = self.rng.choice(self.court[side.other])
                self.enter(Seat.BOOK, FreeThrow(side.other, shooter, made=True))
                self.enter(Seat.CLOCK, Points(side.other, 1))
                self.enter(Seat.BOOK, FreeThrow(side.other, shooter, made=False))
                self.enter(Seat.CLOCK, ClockStart())
            case 8 | 9 | 10:
                self._substitute(side)
            case _:
                self.both(Arrow(side))

    def _substitute(self, side: Side) -> None:
        players = [player.number for player in self.sheet.teams[side].players]
        bench = [number for number in players if number not in self.court[side]]
        if bench:
            on, off = self.rng.choice(bench), self.rng.choice(self.court[side])
            self.court[side].remove(off)
            self.court[side].append(on)
            self.enter(Seat.BOOK, Substitution(side, (on,), (off,)))

    def time_outs(self) -> None:
        self.both(TimeOut(Side.HOME, TimeOutLength.FULL))
        self.both(TimeOut(Side.AWAY, TimeOutLength.FULL))

    def correct(self, count: int) -> None:
        """So many corrections of baskets: amended, struck out, and entered late."""
        for n, (place, basket) in enumerate(self.rng.sample(self.baskets, count)):
            number = self.rng.choice(self.court[basket.side])
            at_ms = self.lines[place][0]
            self.enter(Seat.BOOK, _correction(n, place, basket, number, at_ms))


def _correction(
    n: int, place: int, basket: Basket, number: str, at_ms: int
) -> Callable[[Sequence[EntryId]], Act]:
    def correction(ids: Sequence[EntryId]) -> Act:
        instead = Basket(basket.side, number, basket.points)
        match n % 4:
            case 0:
                return Strike(ids[place])
            case 1:
                reason = "entered for an entry that was the clock's own business"
                return Correction(ids[place], None, None, reason)
            case 2:
                return Correction(
                    None, instead, at_ms + 1, "left out while the coach was asking"
                )
            case _:
                reason = f"the crew saw {number}, as did both coaches when asked"
                return Correction(ids[place], instead, None, reason)

    return correction


def made_up_game(
    rules: str,
    *,
    size: int = 10,
    periods: int = 4,
    corrections: int = 0,
    signed: bool = False,
) -> Game:
    """A game of so many periods, of which no more comes."""
    sheet = sheet_for(rules, size)
    table = _Table(sheet, Random(f"{rules} {size} {periods} {corrections}"))
    for period in range(1, periods + 1):
        table.play(period, rules_of(sheet).period_length_ms(period))
        if period in (1, 3):
            table.time_outs()
    if corrections:
        table.correct(corrections)
    if signed:
        table.enter(Seat.BOOK, OwnBasket(Side.AWAY, 2))
        table.enter(Seat.BOOK, Unavailable(Side.HOME, "6", "ill"))
        table.enter(Seat.BOOK, Note("The horn failed twice in the 3rd quarter."))
        table.enter(
            Seat.BOOK, Protest(Side.AWAY, "the last basket came after the horn")
        )
        table.enter(Seat.BOOK, SignOff(Signer.SCORER, "I. Wetherby"))
        table.enter(Seat.CLOCK, SignOff(Signer.TIMER, "R. Salter"))
        table.enter(Seat.BOOK, SignOff(Signer.REFEREE, "J. Holm"))
    return told_game(*table.lines, sheet=sheet)


def blank_game(rules: str, size: int = 10) -> Game:
    """A game before it begins."""
    return told_game(sheet=sheet_for(rules, size))
