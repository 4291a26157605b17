"""The cover in the window: asks which seat of which game this device opens."""

from __future__ import annotations

import asyncio
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from kivy.core.window import Window

from mobile.choice import Choice
from mobile.offers import Offer, new_offer
from mobile.presenters.start_page import (
    ChooseGame,
    GiveCode,
    StartDesk,
    start_page,
    started,
)
from mobile.screens.start import StartScreen
from mobile.theme import theme
from tablesync.admission.invitation import read_invitation, secret_in
from tablesync.errors import TableSyncError
from tablesync.game_file import sheet_at
from tablesync.tasks import call_off

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from kivy.uix.widget import Widget

    from mobile.presenters.start_page import CodeAt, StartIntent
    from mobile.settings import Settings
    from tablesync.admission.invitation import Invitation
    from tablesync.core.sheet import GameSheet

__all__ = ["Cover", "Scout"]


class Place(Protocol):
    """Where the cover is shown."""

    def show(self, widget: Widget) -> None:
        """Shows it in place of what was there."""


class Scout(Protocol):
    """Looks around the device while its cover is open."""

    async def look_around(self, found: Callable[[tuple[str, ...]], None]) -> None:
        """Tells of all relays nearby, whenever they change, until it is cancelled."""

    async def invited(
        self, invitation: Invitation, wait: Callable[[str], None]
    ) -> GameSheet:
        """Takes the seat of an invitation.

        Raises:
            TableSyncError: the relay does not let the device in, or is another one.
        """

    async def redeemed(self, code: CodeAt) -> Invitation:
        """The invitation that a short code stands for.

        Raises:
            TableSyncError: the relay does not take the code, or nobody answers there.
        """

    async def games_at(self, relay: str) -> tuple[GameSheet, ...]:
        """The games at a relay; none where nobody answers there."""


class Cover:
    """What can be chosen on this device, and what has been."""

    def __init__(
        self, offers: Iterable[Offer], desk: StartDesk, settings: Settings
    ) -> None:
        """Takes the games to choose from, and what is chosen already."""
        self._texts = settings.language.texts
        self._sheets: list[GameSheet] = []
        self._desk = desk
        self._begun = asyncio.Event()
        self._named = asyncio.Event()
        """Set when another relay is named."""
        self._coded = asyncio.Event()
        """Set when a short code is given."""
        look = theme(settings.look)
        self.screen = StartScreen(look=look, texts=self._texts)
        self.screen.bind(on_touched=self._touched)
        Window.clearcolor = look.margin.ground.rgba
        self.offer(offers)

    async def ask(self, place: Place, scout: Scout) -> Choice:
        """Shows the cover until seat and game are chosen.

        Args:
            place: where it is shown.
            scout: looks for relays, and for the games at the one that is named.
        """
        place.show(self.screen)
        looking = [
            asyncio.create_task(scout.look_around(self._found)),
            asyncio.create_task(self._ask_relays(scout)),
            asyncio.create_task(self._give_codes(scout)),
        ]
        Window.bind(on_drop_file=self._dropped)
        try:
            await self._begun.wait()
        finally:
            Window.unbind(on_drop_file=self._dropped)
            await call_off(*looking)
        desk = self._desk
        assert desk.seat is not None
        assert desk.place is not None
        assert desk.address is not None
        return Choice(desk.seat, self._sheets[desk.place], desk.address)

    async def _ask_relays(self, scout: Scout) -> None:
        """Offers the games of every relay that is named, one after the other."""
        while True:
            self._named.clear()
            relay = self._desk.address
            if relay and secret_in(relay):
                await self._take_seat(read_invitation(relay), scout)
            elif relay:
                sheets = await scout.games_at(relay)
                self.offer(new_offer(sheet, self._texts) for sheet in sheets)
            await self._named.wait()

    async def _give_codes(self, scout: Scout) -> None:
        """Takes the seat of every code that is given, until one is right."""
        while True:
            await self._coded.wait()
            self._coded.clear()
            code = self._desk.code_at
            if code is None:
                continue
            self._tell(self._texts.start.code_given)
            try:
                invitation = await scout.redeemed(code)
            except TableSyncError as error:
                self._tell(self._texts.start.why(error))
            else:
                await self._take_seat(invitation, scout)

    async def _take_seat(self, invitation: Invitation, scout: Scout) -> None:
        """Gets in by an invitation, or says why not; its game and seat are chosen."""
        try:
            sheet = await scout.invited(invitation, self._tell_waiting)
        except TableSyncError as error:
            self._tell(self._texts.start.why(error))
            return
        # The relay is kept for the next start, and its secret has been used.
        self._desk = replace(
            self._desk, relay=str(invitation.relay), seat=invitation.seat
        )
        self.offer([new_offer(sheet, self._texts)])
        self._desk = started(self._desk, ChooseGame(self._sheets.index(sheet)))
        self._tell("")

    def _tell_waiting(self, sentence: str) -> None:
        self._tell(self._texts.start.confirming(sentence))

    def _tell(self, trouble: str) -> None:
        self._desk = replace(self._desk, trouble=trouble)
        self._show()

    def offer(self, offers: Iterable[Offer]) -> None:
        """Adds games that can be chosen; the only one there is, is chosen already."""
        new = [one for one in offers if one.sheet not in self._sheets]
        self._sheets += [one.sheet for one in new]
        shown = (*self._desk.offers, *(one.shown for one in new))
        self._desk = replace(self._desk, offers=shown)
        if len(shown) == 1:
            self._desk = started(self._desk, ChooseGame(0))
        self._show()

    def take_file(self, path: Path) -> None:
        """Offers the game of a file and chooses it, or says what is wrong with it."""
        try:
            sheet = sheet_at(path)
        except TableSyncError as error:
            self._desk = replace(self._desk, trouble=self._texts.start.why(error))
            self._show()
            return
        self._desk = replace(self._desk, trouble="")
        self.offer([new_offer(sheet, self._texts)])
        self._desk = started(self._desk, ChooseGame(self._sheets.index(sheet)))
        self._show()

    def _dropped(self, _window: object, name: bytes, *_: object) -> None:
        self.take_file(Path(name.decode()))

    def _found(self, relays: tuple[str, ...]) -> None:
        self._desk = replace(self._desk, relays=relays)
        self._show()

    def _touched(self, _screen: object, intent: StartIntent) -> bool:
        before = self._desk.address
        self._desk = started(self._desk, intent)
        if self._desk.address != before:
            self._named.set()
        if isinstance(intent, GiveCode):
            self._coded.set()
        if self._desk.has_begun:
            self._begun.set()
        self._show()
        return True

    def _show(self) -> None:
        self.screen.model = start_page(self._desk, self._texts)
