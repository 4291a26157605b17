"""The scorer's screen, wide as a book that lies open, or narrow as one page of it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from kivy.lang import Builder
from kivy.properties import AliasProperty, ObjectProperty
from kivy.uix.boxlayout import BoxLayout

from mobile.presenters.intents import Page
from mobile.texts.english import ENGLISH
from mobile.theme import PAPER
from mobile.widgets.banner_view import BannerView
from mobile.widgets.bubbling import Bubbling
from mobile.widgets.card_view import CardView

if TYPE_CHECKING:
    from kivy.uix.widget import Widget

    from mobile.presenters.book_screen import BookScreen
    from mobile.presenters.team_sheet import TeamSheet
    from mobile.texts.shape import Texts
    from mobile.theme import Theme

__all__ = ["NarrowBook", "WideBook"]

Builder.load_file(str(Path(__file__).with_suffix(".kv")))


class _Book(Bubbling, BoxLayout):
    """What both have: a model in, and what takes the place of what."""

    model: BookScreen | None = ObjectProperty(None, allownone=True)
    look: Theme = ObjectProperty(PAPER)
    texts: Texts = ObjectProperty(ENGLISH)

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self._banner = BannerView()
        self._entries = self.ids.foot.children[0]
        self.fbind("model", self._turn)

    def _shown_sheet(self) -> TeamSheet | None:
        if self.model is None:
            return None
        left, right = self.model.sheets
        return left if left.side is self.model.team else right

    shown_sheet = AliasProperty(_shown_sheet, bind=("model",))

    def _turn(self, *_: object) -> None:
        """Puts the right parts in their places."""
        if self.model is not None:
            self._fill(self.ids.foot, self._foot(self.model))

    def _foot(self, model: BookScreen) -> Widget:
        """What stands at the foot: what is begun, else what was entered."""
        if model.banner is None:
            return self._entries
        self._banner.look, self._banner.model = self.look, model.banner
        return self._banner

    @staticmethod
    def _fill(place: Widget, widget: Widget) -> None:
        if place.children != [widget]:
            place.clear_widgets()
            place.add_widget(widget)


class WideBook(_Book):
    """Both teams' pages side by side: a tablet or a laptop."""


class NarrowBook(_Book):
    """One team's page: a phone. A card takes the place of the entries."""

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self._card = CardView()

    def _foot(self, model: BookScreen) -> Widget:
        if model.banner is None and model.cards and model.page is Page.PLAY:
            self._card.look, self._card.texts = self.look, self.texts
            self._card.model = model.cards
            return self._card
        return super()._foot(model)
