"""A game of a store as one line, or as plain values."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.acts import Side
from tablesync.plain_text import printable

if TYPE_CHECKING:
    from tablesync.core.tally import PerSide
    from tablesync.stored_games import StoredGame

__all__ = ["game_line", "game_values"]


def game_line(game: StoredGame) -> str:
    """One line for a reader."""
    sheet = game.sheet
    home, away = (sheet.teams[side].name for side in Side)
    place = [sheet.date, f"court {sheet.court}" if sheet.court else ""]
    state = "signed" if game.is_closed else f"unsigned by {', '.join(game.unsigned)}"
    parts = [
        game.name,
        " ".join(part for part in place if part),
        f"{home} {_pair(game.book)} {away}",
        "" if game.book == game.board else f"board {_pair(game.board)}",
        f"{game.entries} entries",
        state,
    ]
    return printable("  ".join(part for part in parts if part))


def game_values(game: StoredGame) -> dict[str, object]:
    """Plain values for JSON."""
    sheet = game.sheet
    return {
        "game": game.game.hex(),
        "title": sheet.title,
        "teams": {str(side): sheet.teams[side].name for side in Side},
        "date": sheet.date,
        "court": sheet.court,
        "entries": game.entries,
        "book": {str(side): points for side, points in game.book},
        "board": {str(side): points for side, points in game.board},
        "closed": game.is_closed,
        "unsigned": [str(role) for role in game.unsigned],
    }


def _pair(pair: PerSide[int]) -> str:
    return f"{pair.home}:{pair.away}"
