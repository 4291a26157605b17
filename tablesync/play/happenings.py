"""What happens in a play, one value a happening, in the order of table time."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from tablesync.core.acts import Seat
    from tablesync.core.entries import Entry
    from tablesync.core.findings import CheckEvent
    from tablesync.core.game import Game
    from tablesync.core.game_clock import ClockReading
    from tablesync.core.notices import Notice
    from tablesync.core.tally import Tally
    from tablesync.scenario import Expect, LinkState

__all__ = [
    "Checked",
    "Ended",
    "Entered",
    "Happening",
    "LinkChanged",
    "Noticed",
    "Unmet",
]


@dataclass(frozen=True, slots=True)
class Entered:
    """An official entered an act."""

    t_ms: int
    entry: Entry
    label: str
    clock: ClockReading
    """What the clock seat's clock showed."""
    book: Tally
    """The book's tally after it."""
    board: Tally
    """The board's tally after it."""


@dataclass(frozen=True, slots=True)
class LinkChanged:
    """A seat's connection was cut, came back, or went on from a new device."""

    t_ms: int
    seat: Seat
    state: LinkState


@dataclass(frozen=True, slots=True)
class Checked:
    """The check raised, revised or cleared a finding."""

    t_ms: int
    """When the officials could first see it."""
    event: CheckEvent


@dataclass(frozen=True, slots=True)
class Noticed:
    """The table has something to tell the referees."""

    t_ms: int
    notice: Notice


@dataclass(frozen=True, slots=True)
class Unmet:
    """Something that the scenario expects at this moment does not hold."""

    t_ms: int
    expect: Expect
    what: str


@dataclass(frozen=True, slots=True)
class Ended:
    """The play is over."""

    t_ms: int
    game: Game


Happening: TypeAlias = Entered | LinkChanged | Checked | Noticed | Unmet | Ended
