from __future__ import annotations

import asyncio
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

import pytest

from mobile.choice import Choice, Offer, new_offer
from mobile.presenters.start_page import GameOffer, StartDesk, UseRelay
from mobile.settings import Settings
from mobile.texts.english import ENGLISH
from mobile.theme import Look
from tablesync.admission.invitation import Invitation, RelayAddress
from tablesync.core.acts import Seat
from tablesync.errors import WrongCertificateError
from tablesync.game_file import sheet_at
from tablesync.tasks import call_off
from tests.mobile import scenes
from tests.mobile.pictures import assert_looks_like
from tests.scribe import SHEET

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from mobile.cover import Cover, Scout
    from mobile.presenters.start_page import CodeAt
    from tablesync.core.sheet import GameSheet
    from tests.mobile.window import TestWindow

pytestmark = pytest.mark.screens

DEMO = Path(__file__).resolve().parents[3] / "tablesync" / "demo.jsonl"
RELAY = "ws://10.0.0.5:8642"
SECRET = bytes(16)
ADDRESS = RelayAddress("10.0.0.5", 8642, bytes(32))
OFFERS = (
    Offer(GameOffer(scenes.SHEET.title, "court 2, 2026-11-21", None), scenes.SHEET),
    Offer(GameOffer(SHEET.title, "under way: 17-11, 2nd quarter", Seat.BOOK), SHEET),
)
NO_GAMES = StartDesk((), relay=RELAY, folder="/home/timer/.tablesync/games")


class _Place:
    """Stands in for the program's window."""

    def __init__(self, window: TestWindow, size: tuple[int, int]) -> None:
        self._window = window
        self._size = size
        self.shown: Any = None

    def show(self, widget: Any) -> None:
        self.shown = widget
        self._window.show(widget, self._size)

    def key(self, label: str) -> Any:
        from mobile.widgets.key import Key

        keys = (w for w in self.shown.walk() if isinstance(w, Key))
        return next(key for key in keys if key.label == label)


class _Scout:
    """Finds what it was told to find."""

    def __init__(
        self,
        relays: tuple[str, ...] = (),
        games: Mapping[str, tuple[GameSheet, ...]] = MappingProxyType({}),
    ) -> None:
        self._relays = relays
        self._games = games

    async def look_around(self, found: Callable[[tuple[str, ...]], None]) -> None:
        found(self._relays)
        await asyncio.Event().wait()

    async def invited(
        self, invitation: Invitation, wait: Callable[[str], None]
    ) -> GameSheet:
        wait("the clock seat must confirm")
        if invitation.secret != SECRET:
            raise WrongCertificateError("10.0.0.5:8642", "another certificate")
        return scenes.SHEET

    async def redeemed(self, code: CodeAt) -> Invitation:
        raise AssertionError(code)

    async def games_at(self, relay: str) -> tuple[GameSheet, ...]:
        return self._games.get(relay, ())


async def _ask(
    window: TestWindow,
    cover: Cover,
    labels: tuple[str, ...],
    scout: Scout | None = None,
) -> Choice:
    place = _Place(window, (1280, 800))
    asking = asyncio.create_task(cover.ask(place, scout or _Scout()))
    for label in labels:
        # What the scout finds is shown within a few turns of the loop.
        for _ in range(4):
            await asyncio.sleep(0)
        window.frames(2)
        window.touch(place.key(label).center)
    return await asking


def _cover(
    offers: Iterable[Offer] = OFFERS,
    desk: StartDesk = NO_GAMES,
    look: Look = Look.LIGHT,
) -> Cover:
    from mobile.cover import Cover

    return Cover(offers, desk, Settings(look=look))


def test_three_touches_open_a_game_at_a_seat(window: TestWindow) -> None:
    labels = ("clock seat", scenes.SHEET.title, "open the book")
    asked = _ask(window, _cover(), labels)
    choice = window.loop.run_until_complete(asked)
    assert choice == Choice(Seat.CLOCK, scenes.SHEET, RELAY)


def test_a_game_under_way_needs_no_seat_to_be_chosen(window: TestWindow) -> None:
    asked = _ask(window, _cover(desk=StartDesk(())), (SHEET.title, "open the book"))
    choice = window.loop.run_until_complete(asked)
    assert choice == Choice(Seat.BOOK, SHEET, "")


def test_the_only_game_is_chosen_already(window: TestWindow) -> None:
    asked = _ask(window, _cover(OFFERS[:1]), ("book seat", "open the book"))
    choice = window.loop.run_until_complete(asked)
    assert choice.sheet == scenes.SHEET


def test_a_relay_that_is_found_is_one_touch_away(window: TestWindow) -> None:
    finds = _Scout(("ws://10.0.0.9:8642",))
    labels = (SHEET.title, "ws://10.0.0.9:8642", "open the book")
    asked = _ask(window, _cover(), labels, finds)
    assert window.loop.run_until_complete(asked).relay == "ws://10.0.0.9:8642"


def test_the_games_of_the_relay_that_is_named_are_offered(window: TestWindow) -> None:
    other = replace(scenes.SHEET, title="Fen Lane v Quarry Hill")
    finds = _Scout(("ws://10.0.0.9:8642",), {"ws://10.0.0.9:8642": (other, SHEET)})
    labels = ("ws://10.0.0.9:8642", "clock seat", other.title, "open the book")
    asked = _ask(window, _cover(), labels, finds)
    choice = window.loop.run_until_complete(asked)
    assert choice == Choice(Seat.CLOCK, other, "ws://10.0.0.9:8642")


def test_an_invitation_brings_seat_and_game_and_its_secret_is_not_kept(
    window: TestWindow,
) -> None:
    invitation = Invitation(ADDRESS, bytes(32), Seat.CLOCK, SECRET)
    desk = replace(NO_GAMES, relay=str(invitation))
    asked = _ask(window, _cover((), desk), ("clock seat", "open the book"))
    choice = window.loop.run_until_complete(asked)
    assert choice == Choice(Seat.CLOCK, scenes.SHEET, str(ADDRESS))


def test_another_certificate_than_the_invitations_is_told(window: TestWindow) -> None:
    async def look_at() -> None:
        wrong = Invitation(ADDRESS, bytes(32), Seat.CLOCK, b"\x01" * 16)
        cover = _cover((), replace(NO_GAMES, relay=str(wrong)))
        asking = asyncio.create_task(cover.ask(_Place(window, (1280, 800)), _Scout()))
        for _ in range(4):
            await asyncio.sleep(0)
        assert "another certificate" in cover.screen.model.trouble
        await call_off(asking)

    window.loop.run_until_complete(look_at())


def test_what_is_no_address_is_told_before_it_begins(window: TestWindow) -> None:
    cover = _cover(desk=replace(NO_GAMES, relay="ws://10.0.0.5:abc"))
    place = _Place(window, (1280, 800))
    place.show(cover.screen)
    window.touch(place.key(SHEET.title).center)
    assert cover.screen.model.begin.label == (
        "Relay: this is no address; expected one such as ws://192.168.1.20:8642."
    )
    cover.screen.dispatch("on_touched", UseRelay("10.0.0.5"))
    assert cover.screen.model.begin.label == "open the book"


def test_what_is_left_of_a_qr_code_is_told_as_that(window: TestWindow) -> None:
    invitation = str(Invitation(ADDRESS, bytes(32), Seat.BOOK, SECRET))
    cover = _cover(desk=replace(NO_GAMES, relay=invitation[:-9]))
    place = _Place(window, (360, 640))
    place.show(cover.screen)
    key = place.key(
        "Relay: this text is damaged; expected the whole text of the QR code."
    )
    assert key.intent is None
    assert_looks_like("start-phone-damaged", window.picture())


def test_a_file_that_is_dropped_is_the_game_that_is_chosen(
    window: TestWindow,
) -> None:
    cover = _cover()
    cover.take_file(DEMO)
    asked = _ask(window, cover, ("clock seat", "open the book"))
    choice = window.loop.run_until_complete(asked)
    assert choice.sheet == sheet_at(DEMO)


def test_a_file_that_is_no_game_is_told_and_nothing_is_lost(
    window: TestWindow, tmp_path: Path
) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_text("title = 3")
    cover = _cover()
    cover.take_file(bad)
    window.frames(2)
    assert cover.screen.model.trouble.startswith(f"{bad}: ")
    assert len(cover.screen.model.games) == len(OFFERS)
    cover.take_file(DEMO)
    assert cover.screen.model.trouble == ""


def _many(cover: Cover) -> None:
    """Everything that the cover can have to show at once."""
    titles = ("Fen Lane v Quarry Hill", "Tidegate v Brackwater", "Final")
    sheets = (replace(scenes.SHEET, title=title) for title in titles)
    cover.offer(new_offer(sheet, ENGLISH) for sheet in sheets)
    cover.take_file(Path("no-such-game.toml"))


@pytest.mark.parametrize(
    ("size", "look", "name"),
    [
        ((1280, 800), Look.LIGHT, "start-tablet"),
        ((360, 640), Look.DARK, "start-phone"),
    ],
)
@pytest.mark.parametrize("state", ["", "-full", "-empty"])
def test_the_cover_looks_as_it_was_approved(
    window: TestWindow, size: tuple[int, int], look: Look, name: str, state: str
) -> None:
    from mobile.widgets.key import Key

    relays = ("ws://10.0.0.9:8642", RELAY) if state == "-full" else ()

    async def look_at() -> None:
        offers = () if state == "-empty" else OFFERS
        cover = _cover(offers, NO_GAMES, look)
        if state == "-full":
            _many(cover)
        place = _Place(window, size)
        asking = asyncio.create_task(cover.ask(place, _Scout(relays)))
        await asyncio.sleep(0)
        await asyncio.sleep(0)
        window.frames(2)
        if offers:
            window.touch(place.key(scenes.SHEET.title).center)
        keys = [w for w in cover.screen.walk() if isinstance(w, Key)]
        assert min(key.height for key in keys) >= 48
        assert min(key.y for key in keys) >= 0
        assert_looks_like(f"{name}{state}", window.picture())
        await call_off(asking)

    window.loop.run_until_complete(look_at())
