"""Book and board of 40 real games against the league's own box scores."""

from __future__ import annotations

from collections import Counter
from functools import cache
from typing import TYPE_CHECKING, Any

import pytest

from tablesync.core.act_forms import FORM_BY_NAME
from tablesync.core.acts import ClosePeriod, Seat, Side
from tablesync.core.board import Board
from tablesync.core.book import Book
from tablesync.core.close_out import close_out
from tablesync.core.notices import Notice, NoticeKind, Notices
from tablesync.core.rulesets import rule_set
from tablesync.core.sheet import GameSheet, Player, Team
from tablesync.core.tally import PerSide
from tablesync.core.vector_clock import VectorClock
from tablesync.seal import DeviceKey, Pen
from tests.realgames import (
    GAMES,
    PROFILES,
    game_file,
    made_scenario,
    needs_real_games,
    score_findings,
)

if TYPE_CHECKING:
    from tablesync.core.entries import Entry
    from tablesync.core.team_page import TeamPage

FIBA = rule_set("fiba-2024")
WORDS = ("t", "seat", "act", "label")
FOULS_OF_PLAYERS = {"personal", "offensive", "technical", "unsportsmanlike"}
"""As the feed calls them; it has no other kind in these games."""


def sheet_of(header: dict[str, Any]) -> GameSheet:
    return GameSheet(
        header["title"],
        header["rules"],
        "",
        PerSide(team_of(header["teams"]["home"]), team_of(header["teams"]["away"])),
    )


def team_of(team: dict[str, Any]) -> Team:
    players = tuple(
        Player(p["number"], p["name"], p["starter"]) for p in team["players"]
    )
    return Team(team["name"], team["colour"], team["coach"], players)


@cache
def played(name: str, profile: str) -> tuple[GameSheet, list[Entry], dict[str, Any]]:
    """A game's sheet, both seats' entries in order of time, and the official truth."""
    (header, *lines), truth = made_scenario(name, profile)
    entries = entries_of(lines, Seat.BOOK) + entries_of(lines, Seat.CLOCK)
    entries.sort(key=lambda entry: entry.table_time_ms)
    return sheet_of(header), entries, truth["official"]


def entries_of(lines: list[dict[str, Any]], seat: Seat) -> list[Entry]:
    pen = Pen(DeviceKey(bytes([len(seat)]) * 32), seat, bytes(32))
    return [
        pen.write(
            FORM_BY_NAME[line["act"]].read(
                {name: value for name, value in line.items() if name not in WORDS}
            ),
            VectorClock(),
            round(line["t"] * 1000),
        )
        for line in lines
        if line["seat"] == seat
    ]


def team_columns(page: TeamPage, periods: int) -> dict[str, Any]:
    return {
        number: {
            "points": line.points,
            "goals2": line.goals2,
            "goals3": line.goals3,
            "ft_made": line.ft_made,
            "ft_attempted": line.ft_attempted,
            "fouls": len(line.fouls),
            "periods": [str(line.mark(period)) for period in range(1, periods + 1)],
        }
        for number, line in page.lines.items()
    }


@needs_real_games
@pytest.mark.parametrize("profile", PROFILES)
@pytest.mark.parametrize("name", GAMES)
def test_the_book_is_the_official_box_score_and_agrees_with_the_board(
    name: str, profile: str
) -> None:
    """Box scores: the league's public feed, see the real games' own notes."""
    sheet, entries, official = played(name, profile)
    book, board = Book(sheet, FIBA), Board(FIBA)
    for entry in entries:
        record = book if entry.seat is Seat.BOOK else board
        record.apply(entry)

    periods = book.periods.last
    final = {
        "by_period": {
            str(side): [page.points_in(p) for p in range(1, periods + 1)]
            for side, page in book.pages
        },
        "players": {
            str(side): team_columns(page, periods) for side, page in book.pages
        },
    }
    assert score_findings().differences(official, final) == []
    assert book.tally == board.tally
    for side, page in book.pages:
        assert book.tally.score[side] == sum(x.points for x in page.lines.values())
        assert book.tally.score[side] == sum(page.points_by_period)


@needs_real_games
@pytest.mark.parametrize("name", GAMES)
def test_the_team_fouls_of_each_period_are_those_in_the_leagues_feed(name: str) -> None:
    """FIBA Art. 41.1.1: fouls of players count, the coach's and the bench's do not."""
    sheet, entries, _ = played(name, "usual")
    book = Book(sheet, FIBA)
    for entry in entries:
        if entry.seat is Seat.BOOK:
            book.apply(entry)
    counted = Counter(
        (period, team)
        for period, _, team, _, kind in game_file(name)["events"]
        if kind in FOULS_OF_PLAYERS
    )
    for period in range(1, book.periods.last + 1):
        for team, side in (("A", Side.HOME), ("B", Side.AWAY)):
            assert book.tally.fouls_in(period, side) == counted[period, team]


@needs_real_games
@pytest.mark.parametrize("name", GAMES)
def test_the_table_is_told_of_every_fifth_foul_and_every_bonus(name: str) -> None:
    """Five fouls in the official box score; the bonus from the team's fouls, Art. 41.

    No game here has a player out by a combination, which would be told too.
    """
    sheet, entries, official = played(name, "usual")
    book, notices = Book(sheet, FIBA), Notices(sheet, FIBA)
    told: list[Notice] = []
    for entry in entries:
        if entry.seat is Seat.BOOK:
            book.apply(entry)
            told += notices.after(entry, book, None)

    out = {(n.side, n.number) for n in told if n.kind is NoticeKind.DISQUALIFIED}
    assert out == {
        (side, number)
        for team, side in (("A", Side.HOME), ("B", Side.AWAY))
        for number, line in official["teams"][team]["players"].items()
        if line["fouls"] >= 5
    }
    assert len(out) == sum(n.kind is NoticeKind.DISQUALIFIED for n in told)
    spans = 0
    for side in Side:
        fouls = [book.tally.fouls_in(p, side) for p in range(1, book.periods.last + 1)]
        spans += sum(count >= 5 for count in [*fouls[:3], sum(fouls[3:])])
    assert sum(n.kind is NoticeKind.BONUS for n in told) == spans


@needs_real_games
@pytest.mark.parametrize("name", GAMES)
def test_every_period_closes_out_without_a_difference(name: str) -> None:
    """Sum of players = running score, and both seats alike: common practice."""
    sheet, entries, _ = played(name, "usual")
    book, board = Book(sheet, FIBA), Board(FIBA)
    closed = []
    for entry in entries:
        record = book if entry.seat is Seat.BOOK else board
        record.apply(entry)
        if entry.seat is Seat.BOOK and isinstance(entry.act, ClosePeriod):
            result = close_out(sheet, FIBA, book, board)
            assert result.problems == ()
            closed.append(result)
    assert [result.period for result in closed] == list(range(1, len(closed) + 1))
    assert len(closed) == board.periods.last
