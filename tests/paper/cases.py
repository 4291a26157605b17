"""The games that are printed and looked at, each with its paper and its marks."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache, cached_property
from typing import TYPE_CHECKING

from tablesync.core.acts import (
    Basket,
    Charged,
    ClosePeriod,
    Correction,
    Foul,
    Note,
    OpenPeriod,
    Protest,
    Seat,
    Side,
    TimeOut,
    TimeOutLength,
)
from tablesync.core.quarter_marks import MarkStyle
from tablesync.core.sheet import Official
from tablesync.core.tally import PerSide
from tablesync.paper.score_sheet import Paper, score_sheet
from tablesync.paper.score_sheet_pdf import PressLetters, score_sheet_pdf
from tablesync.paper.subject import Subject
from tests.paper.games import blank_game, made_up_game, sheet_for
from tests.telling import told_game

if TYPE_CHECKING:
    from tablesync.core.acts import Act
    from tablesync.core.game import Game
    from tablesync.paper.cells import Page

__all__ = ["CASES", "LETTERS", "USUAL", "Case", "case"]

LETTERS = PressLetters()


@dataclass(frozen=True)
class Case:
    """A game to be printed, and how."""

    game: Game
    paper: Paper = Paper.A4
    marks: MarkStyle = MarkStyle.WHOLE

    @property
    def subject(self) -> Subject:
        return Subject(self.game, "record 0123456789abcdef", self.marks, LETTERS)

    @cached_property
    def pages(self) -> tuple[Page, ...]:
        return score_sheet(self.subject, self.paper)

    @cached_property
    def pdf(self) -> bytes:
        return score_sheet_pdf(self.game, self.subject.origin, self.marks, self.paper)


def _wordy() -> Game:
    """Every text as long as it may be."""
    sheet = sheet_for("fiba-2024", 12)
    teams = [
        replace(
            team,
            name="W" * 100,
            colour="heliotrope" * 10,
            coach="M. " * 33,
            players=tuple(
                replace(player, name="Wilhelmina-Maximiliane " * 2 + "Wagenknechts")
                for player in team.players
            ),
        )
        for _, team in sheet.teams
    ]
    sheet = replace(
        sheet,
        teams=PerSide(*teams),
        title="M" * 100,
        venue="W" * 100,
        court="W" * 100,
        date="W" * 100,
        officials=tuple(Official("W" * 60, "M" * 100) for _ in range(12)),
    )
    return told_game(
        (1_000, Seat.BOOK, OpenPeriod(1)),
        (2_000, Seat.BOOK, Note("m" * 2_000)),
        (3_000, Seat.BOOK, Protest(Side.HOME, "the horn " * 200)),
        (4_000, Seat.BOOK, lambda ids: Correction(ids[1], None, None, "w" * 2_000)),
        (5_000, Seat.BOOK, Note("Brackwater " * 180)),
        sheet=sheet,
    )


LEAGUE_RULES = """
base = "fiba-2024"
name = "overtimes-apart"
title = "A league that counts team fouls anew in each overtime"
[fouls]
overtime_joins_last = false
"""


def _crowded() -> Game:
    """More of everything than there can be: all of it has been entered."""
    sheet = replace(sheet_for("overtimes-apart", 12), rule_text=LEAGUE_RULES)
    acts: list[Act] = []
    for period in range(1, 15):
        acts.append(OpenPeriod(period))
        for side in Side:
            acts += [TimeOut(side, TimeOutLength.FULL)] * 2
            acts.append(Foul(side, None, Charged.COACH, "technical"))
            acts.append(Foul(side, None, Charged.BENCH, "technical"))
            acts += [Foul(side, "5", Charged.PLAYER, "personal")] * 2
            acts.append(Basket(side, "99", 3))
        acts.append(ClosePeriod(period))
    lines = [(1_000 * n, Seat.BOOK, act) for n, act in enumerate(acts, start=1)]
    return told_game(*lines, sheet=sheet)


@cache
def case(name: str) -> Case:
    """The case of that name."""
    match name:
        case "plain":
            return Case(made_up_game("fiba-2024", size=12))
        case "overtime":
            return Case(made_up_game("fiba-2024", size=12, periods=6, signed=True))
        case "fifteen players":
            youth = made_up_game("youth", size=15, signed=True)
            return Case(youth, marks=MarkStyle.START)
        case "twenty corrections":
            return Case(made_up_game("fiba-2024", size=12, corrections=20))
        case "all at once":
            game = made_up_game(
                "nfhs-2022", size=15, periods=6, corrections=20, signed=True
            )
            return Case(game, Paper.LETTER)
        case "eighty corrections":
            return Case(made_up_game("fiba-2024", size=12, corrections=80))
        case "halves":
            return Case(made_up_game("ncaa-men", size=13, periods=3), Paper.LETTER)
        case "ten overtimes":
            return Case(made_up_game("youth", size=12, periods=14))
        case "blank":
            return Case(blank_game("youth"), Paper.LETTER)
        case "crowded":
            return Case(_crowded())
        case "wordy":
            return Case(_wordy())
        case _:
            raise AssertionError(name)


USUAL = (
    "plain",
    "overtime",
    "fifteen players",
    "twenty corrections",
    "all at once",
    "halves",
)
CASES = (*USUAL, "eighty corrections", "ten overtimes", "blank", "crowded", "wordy")
