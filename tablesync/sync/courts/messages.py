"""What a relay and whoever follows its courts say to each other.

A conversation goes::

    follower                              relay
    Watch: I follow the courts      ->
                                    <-    News: what has changed, as much as fits
    Seen: I have read it            ->
                                    <-    News, a few times a second at most
    ...
    Confirmation: let it in         ->    when a device waits for a seat to be confirmed

The relay says nothing more until the last news has been seen. So to somebody who reads
slowly it tells less often and leaves out what has changed again meanwhile. There is no
message by which a follower could enter anything.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from tablesync.core.summary import Part
    from tablesync.sync.messages import Asking, Version

__all__ = [
    "FIRST_WITH_ASKED",
    "FIRST_WITH_MEANT",
    "Confirmation",
    "CourtMessage",
    "Gone",
    "Item",
    "News",
    "PartOf",
    "Seen",
    "Watch",
]

FIRST_WITH_ASKED = 3
"""The first minor version whose followers are told who waits for a seat."""
FIRST_WITH_MEANT = 4
"""The first whose followers are told what the texts about a court mean."""


@dataclass(frozen=True, slots=True)
class Watch:
    """Asks to be told of all courts: a follower's first frame."""

    version: Version


@dataclass(frozen=True, slots=True)
class PartOf:
    """A part of a court's summary is now this."""

    game: bytes
    part: Part


@dataclass(frozen=True, slots=True)
class Gone:
    """The court is no longer of interest."""

    game: bytes


Item: TypeAlias = PartOf | Gone


@dataclass(frozen=True, slots=True)
class News:
    """What has changed since the news before; nothing, where only time has passed."""

    number: int
    """Counts from 1."""
    relay_ms: int
    """The relay's clock, which is the tables', when this was put together."""
    more: int
    """Of how many courts there are news that did not fit; they follow at once."""
    items: tuple[Item, ...]
    """Of a court that is new to the follower all parts, in one frame."""


@dataclass(frozen=True, slots=True)
class Seen:
    """The follower has read the news up to this number."""

    number: int


@dataclass(frozen=True, slots=True)
class Confirmation:
    """The director's word that a device may take a seat which has another one."""

    game: bytes
    asking: Asking
    signature: bytes
    """As `confirmation.confirm` makes it, so that nobody else can have said so."""


CourtMessage: TypeAlias = Watch | News | Seen | Confirmation
