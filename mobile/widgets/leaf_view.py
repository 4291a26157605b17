"""The page that takes the place of play, whichever it is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kivy.properties import ObjectProperty

from mobile.presenters.clock_board import NumberPad
from mobile.presenters.close_out_page import CloseOutPage
from mobile.presenters.entry_lines import EntryLeaf
from mobile.presenters.leaves import Leaf, WordsPage
from mobile.presenters.more_page import MorePage
from mobile.presenters.sign_off_page import SignOffPage
from mobile.texts.english import ENGLISH
from mobile.widgets.close_out_view import CloseOutView
from mobile.widgets.drawn import Drawn
from mobile.widgets.entry_leaf_view import EntryLeafView
from mobile.widgets.more_view import MoreView
from mobile.widgets.number_pad_view import NumberPadView
from mobile.widgets.sign_off_view import SignOffView
from mobile.widgets.words_view import WordsView

if TYPE_CHECKING:
    from mobile.texts.shape import Texts

__all__ = ["LeafView"]


class LeafView(Drawn):
    """Shows its model with the widget that is made for it."""

    texts: Texts = ObjectProperty(ENGLISH)

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self.fbind("texts", self.redraw)
        self._entries = EntryLeafView()
        self._close_out = CloseOutView()
        self._sign_off = SignOffView()
        self._pad = NumberPadView()
        self._more = MoreView()
        self._words = WordsView()

    def arrange(self) -> None:
        """Holds the widget for the model."""
        if self.model is None:
            self.hold([])
            return
        view = self._view(self.model)
        if view is self._words and view not in self.children:
            self._words.make_ready()
        view.look, view.model = self.look, self.model
        if view is not self._pad:
            view.texts = self.texts
        view.pos, view.size = self.pos, self.size
        self.hold([view])

    def _view(self, leaf: Leaf) -> Drawn:
        match leaf:
            case EntryLeaf():
                return self._entries
            case CloseOutPage():
                return self._close_out
            case SignOffPage():
                return self._sign_off
            case NumberPad():
                return self._pad
            case MorePage():
                return self._more
            case WordsPage():
                return self._words
