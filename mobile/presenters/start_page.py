"""The cover of the book: which seat, which game, by which relay."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple, TypeAlias
from urllib.parse import urlsplit

from tablesync.admission.short_code import read_code
from tablesync.core.acts import Seat
from tablesync.errors import BadInputError
from tablesync.frozen import dataclass
from tablesync.relay_address import EXAMPLE, is_code, relay_address

if TYPE_CHECKING:
    from mobile.texts.shape import Texts

__all__ = [
    "GAMES_ON_LEAF",
    "Begin",
    "ChooseGame",
    "CodeAt",
    "GameOffer",
    "GiveCode",
    "LeafGames",
    "SitDown",
    "StartDesk",
    "StartIntent",
    "StartKey",
    "StartPage",
    "TypeCode",
    "UseRelay",
    "start_page",
    "started",
]

GAMES_ON_LEAF = 3
"""So many fit on a phone, with room for the relays."""
MOST_RELAYS = 2


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
class LeafGames:
    """Shows the next games; after the last ones the first again."""


@dataclass(frozen=True, slots=True)
class UseRelay:
    """The address of the relay; empty to go on without one."""

    address: str


@dataclass(frozen=True, slots=True)
class TypeCode:
    """The short code that was told, as far as it has been typed."""

    text: str


@dataclass(frozen=True, slots=True)
class GiveCode:
    """Takes the seat that the code stands for."""


@dataclass(frozen=True, slots=True)
class Begin:
    """Opens the page of the seat."""


StartIntent: TypeAlias = (
    SitDown | ChooseGame | LeafGames | UseRelay | TypeCode | GiveCode | Begin
)


class CodeAt(NamedTuple):
    """A short code, and the relay's place at which it is to be given."""

    host: str
    port: int
    code: str


@dataclass(frozen=True, slots=True)
class StartDesk:
    """What has been chosen so far, and what there is to choose from."""

    offers: tuple[GameOffer, ...]
    """Games are only ever added at the end, so that a place stays that of its game."""
    seat: Seat | None = None
    place: int | None = None
    relay: str = ""
    code: str = ""
    """The short code as typed."""
    relays: tuple[str, ...] = ()
    """The addresses of the relays that were found on this network."""
    leaf: int = 0
    folder: str = ""
    """Where the device looks for game sheets."""
    trouble: str = ""
    """Why a game that was to be offered is not; empty where nothing is wrong."""
    has_begun: bool = False

    @property
    def offer(self) -> GameOffer | None:
        """The game that has been chosen."""
        return None if self.place is None else self.offers[self.place]

    @property
    def address(self) -> str | None:
        """Of the relay, as it is meant; empty for none, None where it can be none."""
        return relay_address(self.relay) if self.relay else ""

    @property
    def takes_code(self) -> bool:
        """Whether the relay is a place, which a code can make an invitation of."""
        return bool(self.address) and "://" in str(self.address)

    @property
    def code_at(self) -> CodeAt | None:
        """What the code's key gives; None until place and code are whole."""
        if not self.takes_code:
            return None
        try:
            read_code(self.code)
        except BadInputError:
            return None
        place = urlsplit(str(self.address))
        assert place.hostname is not None
        assert place.port is not None
        return CodeAt(place.hostname, place.port, self.code)

    @property
    def is_ready(self) -> bool:
        """Whether it can begin."""
        chosen = (self.seat, self.place, self.address)
        return all(one is not None for one in chosen)

    @property
    def leaves(self) -> int:
        """How many leaves the games take."""
        return max(1, -(-len(self.offers) // GAMES_ON_LEAF))


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
    more_games: StartKey | None
    """To the games that are not shown, where there are any."""
    no_games: str
    """What to do where there is no game to choose; empty where there is."""
    relay_title: str
    relay: str
    relays: tuple[StartKey, ...]
    """The relays that were found on this network."""
    code: str
    give_code: StartKey | None
    """Beside the field for the code; None where there is no such field."""
    trouble: str
    begin: StartKey


def started(desk: StartDesk, intent: StartIntent) -> StartDesk:
    """What a touch makes of the choices; a game under way brings its seat along."""
    match intent:
        case SitDown(seat=seat):
            return replace(desk, seat=seat)
        case ChooseGame(place=place):
            seat_there = desk.offers[place].seat
            return replace(desk, place=place, seat=seat_there or desk.seat)
        case LeafGames():
            return replace(desk, leaf=(desk.leaf + 1) % desk.leaves)
        case UseRelay(address=address):
            return replace(desk, relay=address.strip())
        case TypeCode(text=text):
            return replace(desk, code=text.strip(), trouble="")
        case GiveCode():
            return replace(desk, trouble="")
        case Begin():
            return replace(desk, has_begun=desk.is_ready)


def start_page(desk: StartDesk, texts: Texts) -> StartPage:
    """The cover as it stands.

    Args:
        desk: what has been chosen, and what there is.
        texts: the language.
    """
    words = texts.start
    return StartPage(
        title=words.title,
        seats_title=words.seats,
        seats=_seats(desk, texts),
        games_title=words.games,
        games=_games(desk),
        more_games=_more_games(desk, texts),
        no_games="" if desk.offers else words.no_games(desk.folder),
        relay_title=words.relay,
        relay=desk.relay,
        relays=tuple(
            StartKey(
                address, words.found, UseRelay(address), chosen=desk.relay == address
            )
            for address in desk.relays[:MOST_RELAYS]
        ),
        code=desk.code,
        give_code=_give_code(desk, texts),
        trouble=desk.trouble,
        begin=_begin(desk, texts),
    )


def _seats(desk: StartDesk, texts: Texts) -> tuple[StartKey, ...]:
    taken = None if desk.offer is None else desk.offer.seat
    return tuple(
        StartKey(
            texts.strip.seat(seat),
            texts.start.seat_does(seat),
            # A device stays at the seat at which it has begun a game.
            SitDown(seat) if taken in (None, seat) else None,
            chosen=desk.seat is seat,
        )
        for seat in (Seat.BOOK, Seat.CLOCK)
    )


def _games(desk: StartDesk) -> tuple[StartKey, ...]:
    first = desk.leaf * GAMES_ON_LEAF
    shown = list(enumerate(desk.offers))[first : first + GAMES_ON_LEAF]
    return tuple(
        StartKey(
            offer.title, offer.detail, ChooseGame(place), chosen=desk.place == place
        )
        for place, offer in shown
    )


def _more_games(desk: StartDesk, texts: Texts) -> StartKey | None:
    if desk.leaves == 1:
        return None
    caption = f"{desk.leaf + 1}/{desk.leaves}"
    return StartKey(texts.start.more_games, caption, LeafGames(), chosen=False)


def _give_code(desk: StartDesk, texts: Texts) -> StartKey | None:
    if not desk.takes_code:
        return None
    intent = None if desk.code_at is None else GiveCode()
    return StartKey(texts.start.give_code, "", intent, chosen=False)


def _begin(desk: StartDesk, texts: Texts) -> StartKey:
    words = texts.start
    if desk.address is None:
        is_damaged = is_code(desk.relay)
        wrong = words.damaged_code if is_damaged else words.no_address(EXAMPLE)
        return StartKey(wrong, "", None, chosen=False)
    return StartKey(
        words.begin if desk.is_ready else words.choose,
        "" if desk.relay else words.without_relay,
        Begin() if desk.is_ready else None,
        chosen=desk.is_ready,
    )
