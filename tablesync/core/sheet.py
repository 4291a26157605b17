"""The game sheet: who plays whom under which rules, fixed before the game."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.acts import Side
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from tablesync.core.tally import PerSide

__all__ = ["GameSheet", "Official", "Player", "Team", "shirt_order"]


def shirt_order(number: str) -> tuple[int, str]:
    """What to sort numbers by, so that they stand as in a book: 0, 00, 4, 10."""
    return int(number), number


@dataclass(frozen=True, slots=True)
class Player:
    """A line of the roster."""

    number: str
    """As on the shirt: "0" and "00" differ."""
    name: str
    starter: bool


@dataclass(frozen=True, slots=True)
class Team:
    """A team as it is entered on the sheet."""

    name: str
    colour: str
    coach: str
    players: tuple[Player, ...]

    def player(self, number: str) -> Player | None:
        """The player with that number, if there is one on the roster."""
        return next((p for p in self.players if p.number == number), None)


@dataclass(frozen=True, slots=True)
class Official:
    """An official of the game; the role is empty where only names are given."""

    role: str
    name: str


@dataclass(frozen=True, slots=True)
class GameSheet:
    """What all devices at a table must share before the first entry.

    Its bytes make the game's id, so two sheets that differ are two games.
    """

    title: str
    rules: str
    """The name of a rule set, or of the league's own rules in `rule_text`."""
    rule_text: str
    """A league's own rule file as it stands, or empty for a rule set by name."""
    teams: PerSide[Team]
    court: str = ""
    date: str = ""
    venue: str = ""
    officials: tuple[Official, ...] = ()
    mark: str = ""
    """Tells apart two games whose sheets are otherwise alike."""
    left: Side = Side.HOME
    """Whose bench is on the left, seen from the table."""

    def colour(self, side: Side) -> str:
        """The colour by which the table calls a team."""
        return self.teams[side].colour
