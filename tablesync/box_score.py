"""The box score of a game as tables for a terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.table import Table
from rich.text import Text

from tablesync.core.book_lines import PeriodMark
from tablesync.core.court_time import court_time_so_far
from tablesync.core.sheet import shirt_order
from tablesync.plain_text import printable

if TYPE_CHECKING:
    from tablesync.core.acts import Side
    from tablesync.core.book_lines import PlayerLine
    from tablesync.core.game import Game

__all__ = ["RULINGS_PREVAIL", "box_score", "score_by_period"]

RULINGS_PREVAIL = "The referees' and the league's rulings prevail."

_MARKS = {PeriodMark.FULL: "/", PeriodMark.PART: "X", PeriodMark.NONE: "·"}


def score_by_period(game: Game) -> Table:
    """The points of each period and in all, one team a row."""
    periods = range(1, game.book.tally.period + 1)
    table = Table(title="Score by period", title_justify="left")
    table.add_column("team")
    for period in periods:
        table.add_column(game.rules.period_title(period), justify="right")
    table.add_column("in all", justify="right", style="bold")
    for side, page in game.book.pages:
        points = [page.points_in(period) for period in periods]
        table.add_row(
            Text(printable(page.team.name)),
            *map(str, points),
            str(game.book.tally.score[side]),
        )
    return table


def box_score(game: Game, side: Side) -> Table:
    """One team's players: points, goals, free throws, fouls and period marks.

    `/` is a whole period, `X` a part of one, `·` none of it. Where the clock seat is
    there to give it, the time on court stands beside.
    """
    page = game.book.pages[side]
    periods = range(1, game.book.tally.period + 1)
    title = Text(printable(f"{page.team.name} ({page.team.colour})"))
    table = Table(title=title, title_justify="left")
    for heading in ("no.", "player"):
        table.add_column(heading)
    for heading in ("points", "2s", "3s", "free throws", "fouls"):
        table.add_column(heading, justify="right")
    table.add_column("periods")
    times_ms = court_time_so_far(game, side)
    if times_ms is not None:
        table.add_column("time", justify="right")
    for number in sorted(page.lines, key=shirt_order):
        line = page.lines[number]
        player = page.team.player(number)
        table.add_row(
            number,
            Text(printable(player.name if player else "not on the roster")),
            *_figures(line),
            " ".join(_MARKS[line.mark(period)] for period in periods),
            *([] if times_ms is None else [_minutes(times_ms.get(number, 0))]),
        )
    lines = page.lines.values()
    table.add_section()
    table.add_row("", "team", *_figures_of_all(list(lines)), "", style="bold")
    return table


def _minutes(time_ms: int) -> str:
    seconds = round(time_ms / 1000)
    return f"{seconds // 60}:{seconds % 60:02}"


def _figures(line: PlayerLine) -> tuple[str, ...]:
    return (
        str(line.points),
        str(line.goals2),
        str(line.goals3),
        f"{line.ft_made}/{line.ft_attempted}",
        str(len(line.fouls)),
    )


def _figures_of_all(lines: list[PlayerLine]) -> tuple[str, ...]:
    made = sum(line.ft_made for line in lines)
    attempted = sum(line.ft_attempted for line in lines)
    return (
        str(sum(line.points for line in lines)),
        str(sum(line.goals2 for line in lines)),
        str(sum(line.goals3 for line in lines)),
        f"{made}/{attempted}",
        str(sum(len(line.fouls) for line in lines)),
    )
