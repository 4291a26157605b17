"""The scorer's screen, wide as a book that lies open, or narrow as one page of it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from kivy.lang import Builder
from kivy.properties import AliasProperty

from mobile.screens.seat import SeatScreen
from mobile.widgets.banner_view import BannerView
from mobile.widgets.card_view import CardView
from mobile.widgets.moves_view import MovesView

if TYPE_CHECKING:
    from kivy.uix.widget import Widget

__all__ = ["NarrowBook", "WideBook"]

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


class NarrowBook(_Book):
    """One team's page: a phone. A card takes the place of the entries."""

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self._card = CardView()
        self._moves = MovesView()

    def _shown_sheet(self) -> Any:
        if self.model is None:
            return None
        left, right = self.model.sheets
        return left if left.side is self.model.team else right

    shown_sheet = AliasProperty(_shown_sheet, bind=("model",))

    def middle(self) -> Widget | None:
        """A substitution under way: it needs the whole height for its keys."""
        sheet = self.shown_sheet
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
