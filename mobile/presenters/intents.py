"""What a touch can mean: an act, or a step on the way to one."""

from __future__ import annotations

from enum import Enum
from typing import TYPE_CHECKING, TypeAlias

from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from tablesync.core.acts import Act, Charged, EntryId, Side, Signer
    from tablesync.core.summary import Newcomer

__all__ = [
    "Amend",
    "AskPlayer",
    "AskReason",
    "AskWhy",
    "AskWords",
    "Back",
    "BeginSubstitution",
    "ChooseKind",
    "ChoosePlayer",
    "Enter",
    "Fix",
    "ForNote",
    "ForProtest",
    "ForSignature",
    "FoulPlace",
    "GiveReason",
    "GiveWords",
    "Intent",
    "LeafThrough",
    "Leave",
    "LetIn",
    "NextCard",
    "NextLanguage",
    "OpenCourt",
    "Page",
    "Pick",
    "Purpose",
    "Resize",
    "Rows",
    "SettingIntent",
    "ShowRows",
    "ShowTeam",
    "Substitute",
    "SwapBenches",
    "SwitchLook",
    "TurnTo",
    "TypeDigit",
    "TypeWords",
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
    WORDS = "words"


class Fix(Enum):
    """What is to be done to an entry of a period that is closed."""

    STRIKE = "strike"
    AMEND = "amend"


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
class ChoosePlayer:
    """Shows everything that a player can do; the same again takes that back."""

    side: Side
    number: str


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
    finding: str
    """The id of the finding that the act puts right."""
    at_ms: int | None
    """The table time at which the act is lacking; None where it takes a place."""


@dataclass(frozen=True, slots=True)
class AskReason:
    """Asks why a finding is to stand."""

    finding: str


@dataclass(frozen=True, slots=True)
class AskWhy:
    """Asks why an entry of a closed period is to be put right."""

    entry: EntryId
    fix: Fix


@dataclass(frozen=True, slots=True)
class GiveReason:
    """The reason that was asked for."""

    reason: str


@dataclass(frozen=True, slots=True)
class ForNote:
    """Words for the record."""


@dataclass(frozen=True, slots=True)
class ForProtest:
    """What a coach protests against."""

    side: Side


@dataclass(frozen=True, slots=True)
class ForSignature:
    """The name of an official who is not on the sheet."""

    role: Signer


Purpose: TypeAlias = ForNote | ForProtest | ForSignature


@dataclass(frozen=True, slots=True)
class AskWords:
    """Asks for words to be typed; never while the ball is live."""

    purpose: Purpose


@dataclass(frozen=True, slots=True)
class TypeWords:
    """The words that were asked for, as far as they are typed."""

    text: str


@dataclass(frozen=True, slots=True)
class GiveWords:
    """The words that were asked for are all typed."""


@dataclass(frozen=True, slots=True)
class SwapBenches:
    """The benches stand the other way round."""


@dataclass(frozen=True, slots=True)
class SwitchLook:
    """From light to dark, and back."""


@dataclass(frozen=True, slots=True)
class NextLanguage:
    """Goes to the next language."""


@dataclass(frozen=True, slots=True)
class Resize:
    """Makes everything larger or smaller by one step."""

    by: int


@dataclass(frozen=True, slots=True)
class Leave:
    """Goes back to the cover: to another game, seat or relay."""


@dataclass(frozen=True, slots=True)
class OpenCourt:
    """The director looks at one court."""

    id: str


@dataclass(frozen=True, slots=True)
class LetIn:
    """The director confirms that a device takes a seat of a court."""

    court: str
    newcomer: Newcomer


@dataclass(frozen=True, slots=True)
class NextCard:
    """Shows the next of several cards."""


@dataclass(frozen=True, slots=True)
class LeafThrough:
    """Turns the leaves of a list: 1 to what is older, -1 to what is newer."""

    by: int


@dataclass(frozen=True, slots=True)
class TypeDigit:
    """A digit on the number pad."""

    digit: str


@dataclass(frozen=True, slots=True)
class Untype:
    """Takes the last digit back."""


SettingIntent: TypeAlias = SwapBenches | SwitchLook | NextLanguage | Resize
"""What changes this device's screen and nothing of the game."""

Intent: TypeAlias = (
    Enter
    | ChooseKind
    | ChoosePlayer
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
    | AskWhy
    | GiveReason
    | AskWords
    | TypeWords
    | GiveWords
    | SettingIntent
    | NextCard
    | LeafThrough
    | Leave
    | TypeDigit
    | Untype
)
