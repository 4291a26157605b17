"""What a key means travels up, from widget to widget, to whoever listens."""

from __future__ import annotations

from kivy.uix.widget import Widget

__all__ = ["Bubbling"]


class Bubbling(Widget):
    """A widget within which keys are touched, or a key itself."""

    __events__ = ("on_touched",)

    def on_touched(self, intent: object) -> None:
        """Passes it on; a listener that returns True keeps it."""
        owner = self.parent
        while isinstance(owner, Widget) and not isinstance(owner, Bubbling):
            owner = owner.parent
        if isinstance(owner, Bubbling):
            owner.dispatch("on_touched", intent)
