"""What an official records, one frozen class an act.

A new act is a class here, its place in `Act`, and a line in `act_forms.FORMS`.
"""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING, TypeAlias

from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from tablesync.core.vector_clock import DeviceId

__all__ = [
    "Act",
    "Answer",
    "Answered",
    "Arrow",
    "Basket",
    "Charged",
    "ClockStart",
    "ClockStop",
    "ClosePeriod",
    "Correction",
    "EntryId",
    "Foul",
    "FreeThrow",
    "LetStand",
    "Note",
    "OpenPeriod",
    "OwnBasket",
    "Points",
    "Protest",
    "Seat",
    "SeatGiven",
    "SeatTaken",
    "SetClock",
    "Shown",
    "Side",
    "SignOff",
    "Signer",
    "Strike",
    "Substitution",
    "TeamFoul",
    "TimeOut",
    "TimeOutLength",
    "Unavailable",
]


class Side(StrEnum):
    """A team, by its place on the sheet."""

    HOME = "home"
    AWAY = "away"

    @property
    def other(self) -> Side:
        """The opponents."""
        return Side.AWAY if self is Side.HOME else Side.HOME


class Seat(StrEnum):
    """A place at the table, with a record of its own."""

    BOOK = "book"
    CLOCK = "clock"
    VISITING = "visiting"
    """The visiting team's scorer, who keeps a second book."""


class Charged(StrEnum):
    """Whom a foul is charged to."""

    PLAYER = "player"
    COACH = "coach"
    BENCH = "bench"


class TimeOutLength(StrEnum):
    """A full time-out, or the shorter one where the code has two."""

    FULL = "full"
    SHORT = "short"


@dataclass(frozen=True, slots=True, order=True)
class EntryId:
    """Names an entry: its device, and its running number there, from 1."""

    device: DeviceId
    number: int

    def __str__(self) -> str:
        return f"{self.device.hex()[:8]}:{self.number}"


@dataclass(frozen=True, slots=True)
class Basket:
    """A field goal."""

    side: Side
    number: str
    points: int
    """2 or 3."""


@dataclass(frozen=True, slots=True)
class FreeThrow:
    """A free throw attempted."""

    side: Side
    number: str
    made: bool


@dataclass(frozen=True, slots=True)
class Foul:
    """A foul, charged to a player, the coach or the bench."""

    side: Side
    number: str | None
    """None where it is charged to the coach or the bench."""
    charged: Charged
    kind: str
    """Which of them a code knows is part of its rule set."""


@dataclass(frozen=True, slots=True)
class Substitution:
    """Players who go on and players who go off; before a period: who starts it."""

    side: Side
    on: tuple[str, ...]
    off: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Points:
    """Points put on the scoreboard."""

    side: Side
    points: int
    """1, 2 or 3."""


@dataclass(frozen=True, slots=True)
class TeamFoul:
    """A team foul put on the scoreboard."""

    side: Side


@dataclass(frozen=True, slots=True)
class ClockStart:
    """The clock was started."""


@dataclass(frozen=True, slots=True)
class ClockStop:
    """The clock was stopped."""


@dataclass(frozen=True, slots=True)
class SetClock:
    """The clock was set."""

    remaining_ms: int


@dataclass(frozen=True, slots=True)
class TimeOut:
    """A time-out charged to a team."""

    side: Side
    length: TimeOutLength


@dataclass(frozen=True, slots=True)
class Arrow:
    """The possession arrow now points to this side."""

    side: Side


@dataclass(frozen=True, slots=True)
class OpenPeriod:
    """A period begins; overtimes go on counting."""

    period: int


@dataclass(frozen=True, slots=True)
class ClosePeriod:
    """A period has ended for this seat."""

    period: int


@dataclass(frozen=True, slots=True)
class Strike:
    """Strikes out an earlier entry of the same seat, which stays on record."""

    target: EntryId


@dataclass(frozen=True, slots=True)
class Note:
    """Words for the record."""

    text: str


@dataclass(frozen=True, slots=True)
class LetStand:
    """This seat accepts a finding as it is."""

    finding: str
    reason: str


@dataclass(frozen=True, slots=True)
class OwnBasket:
    """A goal into a team's own basket: points for the opponents, and for no player.

    NFHS 5-2-3. Under FIBA a player is credited, so it is entered as a basket.
    """

    side: Side
    """Who gets the points."""
    points: int
    """2 or 3."""


@dataclass(frozen=True, slots=True)
class Unavailable:
    """A player on the sheet is absent, or can't play on."""

    side: Side
    number: str
    reason: str


@dataclass(frozen=True, slots=True)
class Correction:
    """Puts an earlier part of the record right, with a reason.

    A target alone is struck out. A target and an act: the act takes the target's place.
    An act alone takes its place by its time.
    """

    target: EntryId | None
    """An earlier entry of the same seat."""
    act: Act | None
    """What should have been entered; no strike or correction."""
    at_ms: int | None
    """The table time at which the act belongs, where it has no target."""
    reason: str


class Signer(StrEnum):
    """Who signs the record."""

    SCORER = "scorer"
    TIMER = "timer"
    REFEREE = "referee"
    """Signs last; the record is closed by it."""


@dataclass(frozen=True, slots=True)
class SignOff:
    """An official signs the record of the game."""

    role: Signer
    name: str


@dataclass(frozen=True, slots=True)
class Protest:
    """A coach's protest, noted beside the signatures."""

    side: Side
    reason: str


@dataclass(frozen=True, slots=True)
class Shown:
    """This seat's device showed its official a finding or a notice."""

    subject: str
    """The id of the finding or notice."""
    text: str
    """What there was to read."""


class Answer(StrEnum):
    """What an official did about what was shown; see `LetStand` for the third way."""

    PUT_RIGHT = "put_right"
    HELD = "held"
    """Left open, to be put to the referees."""


@dataclass(frozen=True, slots=True)
class Answered:
    """This seat's official answered a finding or a notice that was shown."""

    subject: str
    answer: Answer


@dataclass(frozen=True, slots=True)
class SeatTaken:
    """This device was let in to its seat; what comes after is written by it."""

    grant: bytes
    """What the relay signed: who, where, when, how, and in whose place."""
    signature: bytes
    """The relay's."""


@dataclass(frozen=True, slots=True)
class SeatGiven:
    """This seat's official confirms that another seat goes on with another device."""

    seat: Seat
    device: DeviceId
    """The one that goes on."""


Act: TypeAlias = (
    Basket
    | FreeThrow
    | Foul
    | Substitution
    | Points
    | TeamFoul
    | ClockStart
    | ClockStop
    | SetClock
    | TimeOut
    | Arrow
    | OpenPeriod
    | ClosePeriod
    | Strike
    | Note
    | LetStand
    | OwnBasket
    | Unavailable
    | Correction
    | SignOff
    | Protest
    | Shown
    | Answered
    | SeatTaken
    | SeatGiven
)
