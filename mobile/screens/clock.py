"""The timer's screen, wide or narrow."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from kivy.lang import Builder
from kivy.properties import ObjectProperty
from kivy.uix.boxlayout import BoxLayout

from mobile.presenters.intents import Page
from mobile.texts.english import ENGLISH
from mobile.theme import PAPER
from mobile.widgets.bubbling import Bubbling
from mobile.widgets.card_view import CardView
from mobile.widgets.number_pad_view import NumberPadView

if TYPE_CHECKING:
    from kivy.uix.widget import Widget

    from mobile.presenters.clock_screen import ClockScreen
    from mobile.texts.shape import Texts
    from mobile.theme import Theme

__all__ = ["NarrowClock", "WideClock"]

Builder.load_file(str(Path(__file__).with_suffix(".kv")))


class _Clock(Bubbling, BoxLayout):
    """What both have: a model in, and what takes the place of what."""

    model: ClockScreen | None = ObjectProperty(None, allownone=True)
    look: Theme = ObjectProperty(PAPER)
    texts: Texts = ObjectProperty(ENGLISH)

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self._board = self.ids.middle.children[0]
        self._pad = NumberPadView()
        self.fbind("model", self._turn)

    def _turn(self, *_: object) -> None:
        """Puts the right parts in their places."""
        if self.model is not None:
            self._fill(self.ids.middle, self._middle(self.model))

    def _middle(self, model: ClockScreen) -> Widget:
        match model.page:
            case Page.SET_CLOCK:
                self._pad.look, self._pad.model = self.look, model.pad
                return self._pad
            case _:
                return self._board

    @staticmethod
    def _fill(place: Widget, widget: Widget) -> None:
        if place.children != [widget]:
            place.clear_widgets()
            place.add_widget(widget)


class WideClock(_Clock):
    """The time between both teams: a tablet or a laptop."""


class NarrowClock(_Clock):
    """The time above both teams: a phone. A card takes the place of the entries."""

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self._entries = self.ids.foot.children[0]
        self._card = CardView()

    def _turn(self, *args: object) -> None:
        super()._turn(*args)
        if self.model is not None:
            self._card.look, self._card.texts = self.look, self.texts
            self._card.model = self.model.cards
            is_wanted = bool(self.model.cards)
            self._fill(self.ids.foot, self._card if is_wanted else self._entries)
