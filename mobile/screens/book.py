"""The scorer's screen, wide as a book that lies open, or narrow as one page of it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from kivy.lang import Builder
from kivy.metrics import dp
from kivy.properties import AliasProperty, ObjectProperty
from kivy.uix.boxlayout import BoxLayout

from mobile.presenters.intents import Rows
from mobile.screens.seat import SeatScreen, fill_place
from mobile.texts.english import ENGLISH
from mobile.theme import PAPER
from mobile.widgets.banner_view import BannerView
from mobile.widgets.bubbling import Bubbling
from mobile.widgets.card_view import CardView
from mobile.widgets.moves_view import MovesView
from mobile.widgets.player_sheet_view import PLAYER_SHEET_DP, PlayerSheetView

if TYPE_CHECKING:
    from kivy.uix.widget import Widget

    from mobile.texts.shape import Texts
    from mobile.theme import Theme

__all__ = ["BenchPage", "NarrowBook", "WideBook"]

Builder.load_file(str(Path(__file__).with_suffix(".kv")))


class _Book(SeatScreen):
    """What both have: what has been begun stands in the place of what was entered."""

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self._banner = BannerView()

    def foot(self) -> Widget | None:
        """What has been begun."""
        if self.model is None or self.model.banner is None:
            return None
        self._banner.look, self._banner.model = self.look, self.model.banner
        return self._banner


class WideBook(_Book):
    """Both teams' pages side by side: a tablet or a laptop."""


class BenchPage(Bubbling, BoxLayout):
    """One team's bench with its keys, in the place of both teams' courts."""

    model = ObjectProperty(None, allownone=True)
    look: Theme = ObjectProperty(PAPER)
    texts: Texts = ObjectProperty(ENGLISH)

    def _shown_sheet(self) -> Any:
        return _turned_to(self.model)

    shown_sheet = AliasProperty(_shown_sheet, bind=("model",))


class NarrowBook(_Book):
    """Both teams' players on court: a phone. A card takes the place of the entries."""

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self._card = CardView()
        self._moves = MovesView()
        self._bench = BenchPage()
        self._player = PlayerSheetView()
        (self._facing,) = self.ids.pages.children
        (self._usual_base,) = self.ids.base.children

    def _turn(self, *_: object) -> None:
        super()._turn()
        if self.model is None:
            return
        is_bench = _turned_to(self.model).showing is Rows.BENCH
        for part in (self._bench, self._player):
            part.look, part.texts = self.look, self.texts
        self._bench.model, self._player.model = self.model, self.model.player
        fill_place(self.ids.pages, self._bench if is_bench else self._facing)
        # A bench can be long: it has the whole height unless something is asked.
        if is_bench and self.model.banner is None:
            self.ids.base.clear_widgets()
            self.ids.base.height = 0
            return
        is_player = self.model.player is not None
        fill_place(self.ids.base, self._player if is_player else self._usual_base)
        self.ids.base.height = dp(PLAYER_SHEET_DP)

    def middle(self) -> Widget | None:
        """A substitution under way: it needs the whole height for its keys."""
        sheet = None if self.model is None else _turned_to(self.model)
        if sheet is None or sheet.moves is None:
            return None
        self._moves.look, self._moves.texts = self.look, self.texts
        self._moves.model = sheet.moves
        return self._moves

    def foot(self) -> Widget | None:
        """What has been begun, else a card that waits."""
        banner = super().foot()
        if banner is not None or self.model is None or not self.model.cards:
            return banner
        self._card.look, self._card.texts = self.look, self.texts
        self._card.model = self.model.cards
        return self._card


def _turned_to(model: Any) -> Any:
    """The sheet of the team that was touched last, or None without a model."""
    if model is None:
        return None
    left, right = model.sheets
    return left if left.side is model.team else right
