"""The timer's screen, wide or narrow."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from kivy.lang import Builder

from mobile.screens.seat import SeatScreen
from mobile.widgets.card_view import CardView

if TYPE_CHECKING:
    from kivy.uix.widget import Widget

__all__ = ["NarrowClock", "WideClock"]

Builder.load_file(str(Path(__file__).with_suffix(".kv")))


class WideClock(SeatScreen):
    """The time between both teams: a tablet or a laptop."""


class NarrowClock(SeatScreen):
    """The time above both teams: a phone. A card takes the place of the entries."""

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self._card = CardView()

    def foot(self) -> Widget | None:
        """A card that waits."""
        if self.model is None or not self.model.cards:
            return None
        self._card.look, self._card.texts = self.look, self.texts
        self._card.model = self.model.cards
        return self._card
