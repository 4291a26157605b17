"""Who is out of the game by the fouls in the book."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tablesync.core.foul_rules import FoulRules
    from tablesync.core.team_page import TeamPage

__all__ = ["coach_out_by", "players_out"]


def players_out(page: TeamPage, fouls: FoulRules) -> dict[str, str]:
    """Number to the reason, of every player who is out, as the table says it."""
    out: dict[str, str] = {}
    for number, line in page.lines.items():
        if not line.fouls:
            continue
        says = fouls.player_out_by([foul.kind for foul in line.fouls])
        if says is not None:
            out[number] = says
    return out


def coach_out_by(page: TeamPage, fouls: FoulRules) -> str | None:
    """Why the head coach is out, or None."""
    return fouls.coach_out_by(page.coach_charges)
