"""What the next tap is for, while something is begun; or a choice to make."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kivy.metrics import dp

from mobile.widgets.drawn import Drawn
from mobile.widgets.ink import Box, fill, write_lines
from mobile.widgets.key import Key

if TYPE_CHECKING:
    from mobile.presenters.book_screen import Banner

__all__ = ["BannerView"]

KEY_DP, KEY_WIDTH_DP, MARGIN_DP, GAP_DP = 48.0, 88.0, 12.0, 8.0
ROWS = 2


class BannerView(Drawn):
    """The words, filled, and the key that leaves it; or a key for each choice."""

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self._cancel = Key(text_dp=15)
        self._choices: list[Key] = []

    def arrange(self) -> None:
        """Puts the way out on the right, or the choices in two rows with it last."""
        banner: Banner | None = self.model
        if banner is None:
            self.hold([])
            return
        self._cancel.label, self._cancel.intent = banner.label, banner.cancel
        if banner.choices:
            self._arrange_choices(banner)
            return
        x = self.right - dp(KEY_WIDTH_DP + MARGIN_DP)
        y = self.y + (self.height - dp(KEY_DP)) / 2
        self._cancel.stand(Box(x, y, dp(KEY_WIDTH_DP), dp(KEY_DP)), self.look)
        self.hold([self._cancel])

    def _arrange_choices(self, banner: Banner) -> None:
        if [(key.label, key.intent) for key in self._choices] != list(banner.choices):
            self._choices = [
                Key(label=label, intent=intent, text_dp=15)
                for label, intent in banner.choices
            ]
        keys = [*self._choices, self._cancel]
        inner, gap = self.box.inset(dp(GAP_DP)), dp(GAP_DP)
        columns = -(-len(keys) // ROWS)
        width = (inner.width + gap) / columns - gap
        height = (inner.height + gap) / ROWS - gap
        for place, key in enumerate(keys):
            row, column = divmod(place, columns)
            x = inner.x + column * (width + gap)
            y = inner.top - (row + 1) * (height + gap) + gap
            key.stand(Box(x, y, width, height), self.look)
        self.hold(keys)

    def draw(self) -> None:
        """Draws the ground, and the words where nothing is to be chosen."""
        banner: Banner | None = self.model
        look = self.look
        fill(look.filled.ground, self.box)
        if banner is not None and not banner.choices:
            inner = self.box.inset(dp(MARGIN_DP))
            width = self._cancel.x - inner.x - dp(MARGIN_DP)
            words = Box(inner.x, inner.y, width, inner.height)
            write_lines(look.filled.ink, banner.words, words, 17, bold=True)
