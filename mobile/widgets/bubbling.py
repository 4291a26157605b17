"""What a key means travels up, from widget to widget, to whoever listens."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kivy.uix.widget import Widget

if TYPE_CHECKING:
    from mobile.presenters.intents import Intent

__all__ = ["Bubbling"]


class Bubbling(Widget):
    """A widget within which keys are touched, or a key itself."""

    __events__ = ("on_touched",)

    def on_touched(self, intent: Intent) -> None:
        """Passes it on; a listener that returns True keeps it."""
        owner = self.parent
        while isinstance(owner, Widget) and not isinstance(owner, Bubbling):
            owner = owner.parent
        if isinstance(owner, Bubbling):
            owner.dispatch("on_touched", intent)
