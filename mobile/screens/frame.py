"""Gives a seat the screen that fits the window, and keeps it fitting."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kivy.metrics import dp
from kivy.properties import ObjectProperty
from kivy.uix.floatlayout import FloatLayout
from kivy.uix.layout import Layout

from mobile.texts.english import ENGLISH
from mobile.theme import PAPER
from mobile.widgets.bubbling import Bubbling
from tablesync.core.acts import Seat

if TYPE_CHECKING:
    from mobile.screens.seat import SeatScreen
    from mobile.texts.shape import Texts
    from mobile.theme import Theme

__all__ = ["SeatFrame"]

WIDE_FROM_DP, HIGH_FROM_DP = 950.0, 660.0


class SeatFrame(Bubbling, FloatLayout):
    """The wide screen where there is room for it, else the narrow one.

    Turning or resizing the window changes the screen, and nothing of what it shows.
    """

    model = ObjectProperty(None, allownone=True)
    """The seat's screen as its presenter has made it."""
    look: Theme = ObjectProperty(PAPER)
    texts: Texts = ObjectProperty(ENGLISH)

    def __init__(self, seat: Seat, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self._seat = seat
        self._screen: SeatScreen | None = None
        self.fbind("size", self._fit)
        for name in ("model", "look", "texts"):
            self.fbind(name, self._pass_on)

    def rebuild(self) -> None:
        """Makes the screen anew: everything is drawn larger or smaller."""
        self._screen = None
        self._fit()

    def _fit(self, *_: object) -> None:
        kind = self._fitting()
        if not isinstance(self._screen, kind):
            self.clear_widgets()
            self._screen = kind()
            self._pass_on()
            self.add_widget(self._screen)
            self._screen.pos, self._screen.size = self.pos, self.size
            _lay_out(self._screen)

    def _fitting(self) -> type[SeatScreen]:
        is_wide = self.width >= dp(WIDE_FROM_DP) and self.height >= dp(HIGH_FROM_DP)
        # A seat waits for its own screens only.
        if self._seat is Seat.CLOCK:
            from mobile.screens.clock import NarrowClock, WideClock

            return WideClock if is_wide else NarrowClock
        from mobile.screens.book import NarrowBook, WideBook

        return WideBook if is_wide else NarrowBook

    def _pass_on(self, *_: object) -> None:
        if self._screen is not None:
            self._screen.look, self._screen.texts = self.look, self.texts
            self._screen.model = self.model


def _lay_out(screen: SeatScreen) -> None:
    """Gives every part its place now, from the outermost on.

    Left alone, each layout waits for the one around it, and what they hold is drawn
    meanwhile in a size that it will not have.
    """
    for part in screen.walk(restrict=True):
        if isinstance(part, Layout):
            part.do_layout()
