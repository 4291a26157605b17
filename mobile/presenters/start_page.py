"""The cover of the book: which seat, which game, by which relay."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, TypeAlias

from tablesync.core.acts import Seat

if TYPE_CHECKING:
    from mobile.texts.shape import Texts

__all__ = [
    "Begin",
    "ChooseGame",
    "GameOffer",
    "SitDown",
    "StartDesk",
    "StartIntent",
    "StartKey",
    "StartPage",
    "UseRelay",
    "start_page",
    "started",
]


@dataclass(frozen=True, slots=True)
class GameOffer:
    """A game that can be begun or gone on with."""

    title: str
    detail: str
    """Court, date and rules; of a game under way, how it stands."""
    seat: Seat | None
    """Where this device sits in it already, or None where it has not begun."""


@dataclass(frozen=True, slots=True)
class SitDown:
    """The seat that this device takes."""

    seat: Seat


@dataclass(frozen=True, slots=True)
class ChooseGame:
    """The game, by its place among the offers."""

    place: int


@dataclass(frozen=True, slots=True)
class UseRelay:
    """The address of the relay; empty to go on without one."""

    address: str


@dataclass(frozen=True, slots=True)
class Begin:
    """Opens the page of the seat."""


StartIntent: TypeAlias = SitDown | ChooseGame | UseRelay | Begin


@dataclass(frozen=True, slots=True)
class StartDesk:
    """What has been chosen so far."""

    offers: tuple[GameOffer, ...]
    seat: Seat | None = None
    place: int | None = None
    relay: str = ""
    has_begun: bool = False

    @property
    def offer(self) -> GameOffer | None:
        """The game that has been chosen."""
        return None if self.place is None else self.offers[self.place]


@dataclass(frozen=True, slots=True)
class StartKey:
    """A key of the cover."""

    label: str
    caption: str
    intent: StartIntent | None
    chosen: bool


@dataclass(frozen=True, slots=True)
class StartPage:
    """The cover as it stands."""

    title: str
    seats_title: str
    seats: tuple[StartKey, ...]
    games_title: str
    games: tuple[StartKey, ...]
    no_games: str
    """What to do where there is no game to choose; empty where there is."""
    relay_title: str
    relay: str
    relays: tuple[StartKey, ...]
    """The relays that were found on this network."""
    begin: StartKey


def started(desk: StartDesk, intent: StartIntent) -> StartDesk:
    """What a touch makes of the choices; a game under way brings its seat along."""
    match intent:
        case SitDown(seat=seat):
            return replace(desk, seat=seat)
        case ChooseGame(place=place):
            seat_there = desk.offers[place].seat
            return replace(desk, place=place, seat=seat_there or desk.seat)
        case UseRelay(address=address):
            return replace(desk, relay=address.strip())
        case Begin():
            is_ready = desk.seat is not None and desk.place is not None
            return replace(desk, has_begun=is_ready)


def start_page(desk: StartDesk, relays: tuple[str, ...], texts: Texts) -> StartPage:
    """The cover as it stands.

    Args:
        desk: what has been chosen.
        relays: the addresses of the relays that were found.
        texts: the language.
    """
    words = texts.start
    is_ready = desk.seat is not None and desk.place is not None
    taken = None if desk.offer is None else desk.offer.seat
    return StartPage(
        title=words.title,
        seats_title=words.seats,
        seats=tuple(
            StartKey(
                texts.strip.seat(seat),
                words.seat_does(seat),
                # A device stays at the seat at which it has begun a game.
                SitDown(seat) if taken in (None, seat) else None,
                chosen=desk.seat is seat,
            )
            for seat in (Seat.BOOK, Seat.CLOCK)
        ),
        games_title=words.games,
        games=tuple(
            StartKey(
                offer.title,
                offer.detail,
                ChooseGame(place),
                chosen=desk.place == place,
            )
            for place, offer in enumerate(desk.offers)
        ),
        no_games="" if desk.offers else words.no_games,
        relay_title=words.relay,
        relay=desk.relay,
        relays=tuple(
            StartKey(
                address, words.found, UseRelay(address), chosen=desk.relay == address
            )
            for address in relays
        ),
        begin=StartKey(
            words.begin if is_ready else words.choose,
            "" if desk.relay else words.without_relay,
            Begin() if is_ready else None,
            chosen=is_ready,
        ),
    )
