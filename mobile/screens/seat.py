"""What the screens of both seats have in common."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kivy.properties import ObjectProperty
from kivy.uix.boxlayout import BoxLayout

from mobile.texts.english import ENGLISH
from mobile.theme import PAPER
from mobile.widgets.bubbling import Bubbling

if TYPE_CHECKING:
    from kivy.uix.widget import Widget

    from mobile.texts.shape import Texts
    from mobile.theme import Theme
    from mobile.widgets.leaf_view import LeafView

__all__ = ["SeatScreen", "fill_place"]


class SeatScreen(Bubbling, BoxLayout):
    """A model in, and what takes the place of what.

    The layout names the middle, which a page may take the place of, and the foot.
    """

    model = ObjectProperty(None, allownone=True)
    """The seat's screen as its presenter has made it."""
    look: Theme = ObjectProperty(PAPER)
    texts: Texts = ObjectProperty(ENGLISH)

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self._play = self.ids.middle.children[0]
        self._usual_foot = self.ids.foot.children[0]
        self._leaf: LeafView | None = None
        """Made when it is first turned to: no first frame has one."""
        for name in ("model", "look", "texts"):
            self.fbind(name, self._turn)

    def _turn(self, *_: object) -> None:
        """Puts the right parts in their places."""
        if self.model is None:
            return
        leaf = self._turned_leaf()
        fill_place(self.ids.middle, leaf or self.middle() or self._play)
        fill_place(self.ids.foot, self.foot() or self._usual_foot)

    def _turned_leaf(self) -> Widget | None:
        """The page that the screen is turned to, or None for the page of play."""
        if self.model.leaf is not None and self._leaf is None:
            from mobile.widgets.leaf_view import LeafView

            self._leaf = LeafView()
        if self._leaf is not None:
            self._leaf.look, self._leaf.texts = self.look, self.texts
            self._leaf.model = self.model.leaf
        return None if self.model.leaf is None else self._leaf

    def middle(self) -> Widget | None:
        """What takes the place of the page of play, or None."""
        return None

    def foot(self) -> Widget | None:
        """What takes the place of the usual foot, or None."""
        return None


def fill_place(place: Widget, widget: Widget) -> None:
    """Puts a widget in a place of the layout, where it is not there already."""
    if place.children != [widget]:
        place.clear_widgets()
        place.add_widget(widget)
