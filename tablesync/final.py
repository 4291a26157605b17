"""What a game amounts to at its end, as the `final` line of a play."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.acts import Seat, Side

if TYPE_CHECKING:
    from tablesync.core.book import Book
    from tablesync.core.book_lines import PlayerLine
    from tablesync.core.game import Game
    from tablesync.core.tally import PerSide, Tally
    from tablesync.core.team_page import TeamPage

__all__ = ["board_values", "book_values", "final_of", "player_values"]


def final_of(game: Game) -> dict[str, object]:
    """The book as it stands, and the board, as plain values for JSON."""
    board = game.tally(Seat.CLOCK)
    periods = max(game.book.tally.period, board.period)
    return {
        **book_values(game.book, periods),
        "board": board_values(board, periods),
        "open_findings": [finding.id for finding in game.open_findings()],
        "entries": {
            str(seat): sum(entry.seat is seat for entry in game.history)
            for seat in (Seat.BOOK, Seat.CLOCK)
        },
    }


def book_values(book: Book, periods: int) -> dict[str, object]:
    """A book as plain values, with so many periods."""
    tally = book.tally
    return {
        "score": _by_side(tally.score),
        "by_period": {
            str(side): [page.points_in(period) for period in range(1, periods + 1)]
            for side, page in book.pages
        },
        "players": {str(side): _players(page, periods) for side, page in book.pages},
        "team_fouls": _fouls(tally, periods),
        "time_outs": _by_side(tally.time_outs),
    }


def board_values(board: Tally, periods: int) -> dict[str, object]:
    """What the scoreboard shows as plain values, with so many periods."""
    return {
        "score": _by_side(board.score),
        "team_fouls": _fouls(board, periods),
        "time_outs": _by_side(board.time_outs),
        "period": board.period,
    }


def _by_side(pair: PerSide[int]) -> dict[str, int]:
    return {str(side): value for side, value in pair}


def _fouls(tally: Tally, periods: int) -> dict[str, list[int]]:
    return {
        str(side): [tally.fouls_in(period, side) for period in range(1, periods + 1)]
        for side in Side
    }


def _players(page: TeamPage, periods: int) -> dict[str, object]:
    lines = page.lines.items()
    return {number: player_values(line, periods) for number, line in lines}


def player_values(line: PlayerLine, periods: int) -> dict[str, object]:
    """A player's line as plain values, with so many periods."""
    return {
        "points": line.points,
        "goals2": line.goals2,
        "goals3": line.goals3,
        "ft_made": line.ft_made,
        "ft_attempted": line.ft_attempted,
        "fouls": len(line.fouls),
        "periods": [str(line.mark(period)) for period in range(1, periods + 1)],
    }
