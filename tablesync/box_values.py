"""The box score of a game as plain values, and as lines of a table for a program."""

from __future__ import annotations

import csv
from io import StringIO
from typing import TYPE_CHECKING

from tablesync.core.acts import Side
from tablesync.core.court_time import court_time_so_far
from tablesync.core.sheet import shirt_order
from tablesync.core.time_outs import clock_at_time_out
from tablesync.final import player_values

if TYPE_CHECKING:
    from tablesync.core.book_lines import BookedFoul
    from tablesync.core.game import Game

__all__ = ["box_csv", "box_values"]


def box_values(game: Game) -> dict[str, object]:
    """The book as a box score for JSON.

    Seconds on court and the clock at time-outs are null without a clock seat.
    """
    sheet, periods = game.sheet, game.book.tally.period
    return {
        "title": sheet.title,
        "rules": sheet.rules,
        "court": sheet.court,
        "date": sheet.date,
        "venue": sheet.venue,
        "periods": [game.rules.period_title(n) for n in range(1, periods + 1)],
        "teams": {str(side): _team(game, side) for side in Side},
        "open_findings": [finding.text for finding in game.open_findings()],
    }


def box_csv(game: Game) -> str:
    """The players of both teams, one a line under a header."""
    periods = game.book.tally.period
    text = StringIO()
    writer = csv.writer(text, lineterminator="\n")
    rows = [
        {"side": str(side), "team": game.sheet.teams[side].name, **player}
        for side in Side
        for player in _players(game, side)
    ]
    columns = [*_COLUMNS, *(f"period_{n}" for n in range(1, periods + 1))]
    writer.writerow(columns)
    for row in rows:
        marks = row.pop("periods")
        assert isinstance(marks, list)
        writer.writerow([*(_cell(row[column]) for column in _COLUMNS), *marks])
    return text.getvalue()


_COLUMNS = (
    "side",
    "team",
    "number",
    "name",
    "starter",
    "points",
    "goals2",
    "goals3",
    "ft_made",
    "ft_attempted",
    "fouls",
    "seconds",
)


def _cell(value: object) -> object:
    """A value as it stands in a line; nothing where it is not known."""
    match value:
        case None:
            return ""
        case bool():
            return "yes" if value else "no"
        case _:
            return value


def _team(game: Game, side: Side) -> dict[str, object]:
    page, tally = game.book.pages[side], game.book.tally
    periods = range(1, tally.period + 1)
    board = game.seated_board
    clock = None if board is None else board.clock
    return {
        "name": page.team.name,
        "colour": page.team.colour,
        "coach": page.team.coach,
        "score": tally.score[side],
        "by_period": [page.points_in(period) for period in periods],
        "team_fouls": [tally.fouls_in(period, side) for period in periods],
        "time_outs": [
            {
                "period": time_out.period,
                "length": str(time_out.length),
                "remaining_s": _seconds(clock_at_time_out(time_out, clock)),
            }
            for time_out in page.time_outs
        ],
        "coach_fouls": [_foul(foul) for foul in page.coach_fouls],
        "bench_fouls": [_foul(foul) for foul in page.bench_fouls],
        "players": _players(game, side),
    }


def _players(game: Game, side: Side) -> list[dict[str, object]]:
    page = game.book.pages[side]
    times_ms = court_time_so_far(game, side)
    players = []
    for number in sorted(page.lines, key=shirt_order):
        player = page.team.player(number)
        time_ms = None if times_ms is None else times_ms.get(number, 0)
        players.append(
            {
                "number": number,
                "name": player.name if player else "",
                "starter": player is not None and player.starter,
                **player_values(page.lines[number], game.book.tally.period),
                "seconds": _seconds(time_ms),
            }
        )
    return players


def _foul(foul: BookedFoul) -> dict[str, object]:
    return {"kind": foul.kind, "period": foul.period}


def _seconds(time_ms: int | None) -> int | None:
    return None if time_ms is None else round(time_ms / 1000)
