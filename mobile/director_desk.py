"""The director at work: all courts, or the one that was opened."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING, Protocol

from kivy.core.window import Window

from mobile.presenters.court_page import court_page
from mobile.presenters.courts import court_cards
from mobile.presenters.intents import Back, OpenCourt
from mobile.screens.director import DirectorScreen
from mobile.theme import theme

if TYPE_CHECKING:
    from collections.abc import Sequence

    from kivy.uix.widget import Widget

    from mobile.presenters.courts import Court
    from mobile.settings import Settings

__all__ = ["Courts", "DirectorDesk", "direct"]

REFRESH_S = 0.25
"""Ages count in seconds, and nobody reads 200 courts faster."""


class Courts(Protocol):
    """Where the courts come from."""

    def courts(self) -> Sequence[Court]:
        """Every court as it stands now."""

    def table_ms(self) -> int:
        """The table time now."""


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
        look = theme(settings.look)
        self.screen = DirectorScreen(look=look, texts=self._texts)
        self.screen.bind(on_touched=self._touched)
        Window.clearcolor = look.margin.ground.rgba
        self.refresh()

    def refresh(self) -> None:
        """Shows what there is now."""
        courts, now_ms = self._courts.courts(), self._courts.table_ms()
        self.screen.head = self._texts.director.title(len(courts))
        self.screen.model = court_cards(courts, now_ms, self._texts)
        opened = next((court for court in courts if court.id == self._opened), None)
        self.screen.page = (
            None if opened is None else court_page(opened, now_ms, self._texts)
        )

    def _touched(self, _screen: object, intent: object) -> bool:
        match intent:
            case OpenCourt(id=id_):
                self._opened = id_
            case Back():
                self._opened = None
            case _:
                pass
        self.refresh()
        return True


async def direct(window: Place, watch: Courts, settings: Settings) -> None:
    """Shows the courts in a window until it is cancelled."""
    desk = DirectorDesk(watch, settings)
    window.show(desk.screen)
    while True:
        desk.refresh()
        await asyncio.sleep(REFRESH_S)
