"""What every drawn widget is: a model in, an intent out, redrawn when either changes.

What is not drawn on shows the margin's ground, with which the window is cleared.
A widget never looks up another one: see `bubbling` for how a touch is heard of.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Self

from kivy.clock import Clock
from kivy.properties import ObjectProperty

from mobile.theme import PAPER
from mobile.widgets.bubbling import Bubbling
from mobile.widgets.ink import Box

if TYPE_CHECKING:
    from collections.abc import Sequence

    from kivy.uix.widget import Widget

    from mobile.theme import Theme

__all__ = ["Drawn"]


class Drawn(Bubbling):
    """A widget that draws its model in a look.

    Subclasses override `draw`, which runs within the canvas, and where they hold other
    widgets `arrange`, which runs just before.
    """

    model = ObjectProperty(None, allownone=True)
    """What is shown, a frozen value of the presenters, or None for nothing."""
    look: Theme = ObjectProperty(PAPER)
    """The theme."""

    def __init__(self, **kwargs: object) -> None:
        self._redraw = Clock.create_trigger(self._draw_now, -1)
        super().__init__(**kwargs)
        for name in ("model", "look", "pos", "size"):
            self.fbind(name, self.redraw)
        self.redraw()

    def redraw(self, *_: object) -> None:
        """Has the widget drawn anew before the next frame."""
        self._redraw()

    @property
    def box(self) -> Box:
        """Where the widget stands."""
        return Box(self.x, self.y, self.width, self.height)

    def stand(self, box: Box, look: Theme) -> Self:
        """Places the widget, in a look, and gives it back."""
        self.look = look
        self.pos, self.size = (box.x, box.y), (box.width, box.height)
        return self

    def hold(self, widgets: Sequence[Widget]) -> None:
        """Holds these widgets and no others, the first one lowest.

        One that was there before stays as it is, with the finger that is on it.
        """
        if self.children[::-1] != list(widgets):
            self.clear_widgets()
            for widget in widgets:
                self.add_widget(widget)

    def arrange(self) -> None:
        """Places the widgets within."""

    def draw(self) -> None:
        """Draws the widget itself."""

    def _draw_now(self, _elapsed_s: float) -> None:
        self.arrange()
        self.canvas.before.clear()
        with self.canvas.before:
            self.draw()
