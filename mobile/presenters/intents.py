"""What a touch can mean: an act, or a step on the way to one."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    from tablesync.core.acts import Act, Charged, EntryId, Side

__all__ = [
    "Amend",
    "AskPlayer",
    "AskReason",
    "Back",
    "BeginSubstitution",
    "ChooseKind",
    "Enter",
    "FoulPlace",
    "Intent",
    "Leaf",
    "NextCard",
    "Page",
    "Pick",
    "Rows",
    "ShowRows",
    "ShowTeam",
    "Substitute",
    "TurnTo",
    "TypeDigit",
    "Untype",
]


class Page(Enum):
    """What stands on the screen below the strip."""

    PLAY = "play"
    ENTRIES = "entries"
    CLOSE_OUT = "close_out"
    SIGN_OFF = "sign_off"
    SET_CLOCK = "set_clock"
    MORE = "more"


class Rows(Enum):
    """Which of a team's players have their keys."""

    COURT = "court"
    BENCH = "bench"


@dataclass(frozen=True, slots=True)
class FoulPlace:
    """Where a foul is charged: a player, the coach or the bench of a side."""

    side: Side
    number: str | None
    charged: Charged


@dataclass(frozen=True, slots=True)
class Enter:
    """Puts these acts on record, in this order."""

    acts: tuple[Act, ...]


@dataclass(frozen=True, slots=True)
class ChooseKind:
    """Asks for the kind of a foul, in the row itself."""

    place: FoulPlace


@dataclass(frozen=True, slots=True)
class BeginSubstitution:
    """Opens a team's substitution; a number given is the first one picked."""

    side: Side
    number: str | None = None


@dataclass(frozen=True, slots=True)
class Pick:
    """Picks a player to go on or off, or takes the pick back."""

    side: Side
    number: str


@dataclass(frozen=True, slots=True)
class Substitute:
    """Enters the substitution as picked, even or not."""

    side: Side


@dataclass(frozen=True, slots=True)
class ShowTeam:
    """Turns to that team's page, where only one fits."""

    side: Side


@dataclass(frozen=True, slots=True)
class ShowRows:
    """Gives the players on court, or those on the bench, their keys."""

    side: Side
    rows: Rows


@dataclass(frozen=True, slots=True)
class TurnTo:
    """Turns to another page."""

    page: Page


@dataclass(frozen=True, slots=True)
class Back:
    """Leaves whatever was begun and goes back to the page of play."""


@dataclass(frozen=True, slots=True)
class Amend:
    """The next act entered takes this entry's place, which is struck out."""

    entry: EntryId


@dataclass(frozen=True, slots=True)
class AskPlayer:
    """Asks for the player of an act that is lacking on this side."""

    side: Side
    words: str
    """What is asked for, as the card said it."""
    strikes: EntryId | None
    """The entry that the act takes the place of."""


@dataclass(frozen=True, slots=True)
class AskReason:
    """Asks why a finding is to stand."""

    finding: str


@dataclass(frozen=True, slots=True)
class NextCard:
    """Shows the next of several cards."""


@dataclass(frozen=True, slots=True)
class Leaf:
    """Turns the leaves of a list: 1 to what is older, -1 to what is newer."""

    by: int


@dataclass(frozen=True, slots=True)
class TypeDigit:
    """A digit on the number pad."""

    digit: str


@dataclass(frozen=True, slots=True)
class Untype:
    """Takes the last digit back."""


Intent: TypeAlias = (
    Enter
    | ChooseKind
    | BeginSubstitution
    | Pick
    | Substitute
    | ShowTeam
    | ShowRows
    | TurnTo
    | Back
    | Amend
    | AskPlayer
    | AskReason
    | NextCard
    | Leaf
    | TypeDigit
    | Untype
)
