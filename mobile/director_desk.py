"""The director at work: all courts, or the one that was opened."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING, Protocol

from kivy.core.window import Window

from mobile.presenters.court_page import court_page
from mobile.presenters.courts import court_cards
from mobile.presenters.intents import Back, LetIn, OpenCourt
from mobile.screens.director import DirectorScreen
from mobile.theme import theme
from tablesync.errors import TableSyncError
from tablesync.tasks import call_off

if TYPE_CHECKING:
    from collections.abc import Sequence

    from kivy.uix.widget import Widget

    from mobile.court_watch import CourtWatch
    from mobile.presenters.courts import Court
    from mobile.settings import Settings
    from tablesync.core.summary import Newcomer

__all__ = ["Courts", "DirectorDesk", "direct"]

REFRESH_S = 0.25
"""Ages count in seconds, and nobody reads 200 courts faster."""
STALE_MS = 2_500
"""A relay says the time every second; after so long without it, it is told."""


class Courts(Protocol):
    """Where the courts come from."""

    relay: str

    def courts(self) -> Sequence[Court]:
        """Every court as it was told last."""

    def let_in(self, court: str, newcomer: Newcomer) -> None:
        """Has a device let in that waits at a court."""

    def table_ms(self) -> int:
        """The table time now."""

    def silent_ms(self) -> int | None:
        """For how long the relay has told nothing; None before the first time."""


class Place(Protocol):
    """Where the screen is shown."""

    def show(self, widget: Widget) -> None:
        """Shows it in place of what was there."""


class DirectorDesk:
    """Keeps the director's screen showing the courts."""

    def __init__(self, courts: Courts, settings: Settings) -> None:
        self._courts = courts
        self._texts = settings.language.texts
        self._opened: str | None = None
        self.trouble = ""
        """Why nothing more will come from the relay; empty where nothing is wrong."""
        look = theme(settings.look)
        self.screen = DirectorScreen(look=look, texts=self._texts)
        self.screen.bind(on_touched=self._touched)
        Window.clearcolor = look.margin.ground.rgba
        self.refresh()

    def refresh(self) -> None:
        """Shows what there is now."""
        courts, now_ms = self._courts.courts(), self._courts.table_ms()
        self.screen.head = self._head(len(courts))
        self.screen.model = court_cards(courts, now_ms, self._texts)
        opened = next((court for court in courts if court.id == self._opened), None)
        self.screen.page = (
            None if opened is None else court_page(opened, now_ms, self._texts)
        )

    @property
    def _is_heard(self) -> bool:
        """Whether the relay would hear what is said to it now."""
        silent_ms = self._courts.silent_ms()
        return not self.trouble and silent_ms is not None and silent_ms <= STALE_MS

    def _head(self, count: int) -> str:
        texts, silent_ms = self._texts.director, self._courts.silent_ms()
        if self.trouble:
            return self.trouble
        if silent_ms is None:
            return texts.asking(self._courts.relay)
        if silent_ms > STALE_MS:
            return texts.stale(silent_ms // 1000)
        return texts.title(count)

    def _touched(self, _screen: object, intent: object) -> bool:
        match intent:
            case OpenCourt(id=id_):
                self._opened = id_
            case Back():
                self._opened = None
            case LetIn(court=court, newcomer=newcomer) if self._is_heard:
                self._courts.let_in(court, newcomer)
            case LetIn():
                # The list's head says that the relay is not heard.
                self._opened = None
            case _:
                pass
        self.refresh()
        return True


async def direct(window: Place, watch: CourtWatch, settings: Settings) -> None:
    """Follows the courts and shows them in a window until it is cancelled."""
    desk = DirectorDesk(watch, settings)
    window.show(desk.screen)
    following = asyncio.create_task(_follow(desk, watch))
    try:
        while True:
            desk.refresh()
            await asyncio.sleep(REFRESH_S)
    finally:
        await call_off(following)


async def _follow(desk: DirectorDesk, watch: CourtWatch) -> None:
    try:
        await watch.keep_following()
    except TableSyncError as error:
        desk.trouble = str(error)
