"""What the next tap is for, while something is begun."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kivy.metrics import dp

from mobile.widgets.drawn import Drawn
from mobile.widgets.ink import Box, fill, write_lines
from mobile.widgets.key import Key

if TYPE_CHECKING:
    from mobile.presenters.book_screen import Banner

__all__ = ["BannerView"]

KEY_DP, KEY_WIDTH_DP, MARGIN_DP = 48.0, 88.0, 12.0


class BannerView(Drawn):
    """The words, filled, and the key that leaves it."""

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self._cancel = Key(text_dp=15)

    def arrange(self) -> None:
        """Puts the key on the right."""
        banner: Banner | None = self.model
        if banner is None:
            self.hold([])
            return
        self._cancel.label, self._cancel.intent = banner.label, banner.cancel
        x = self.right - dp(KEY_WIDTH_DP + MARGIN_DP)
        y = self.y + (self.height - dp(KEY_DP)) / 2
        self._cancel.stand(Box(x, y, dp(KEY_WIDTH_DP), dp(KEY_DP)), self.look)
        self.hold([self._cancel])

    def draw(self) -> None:
        """Draws the words."""
        banner: Banner | None = self.model
        look = self.look
        fill(look.filled.ground, self.box)
        if banner is not None:
            inner = self.box.inset(dp(MARGIN_DP))
            width = self._cancel.x - inner.x - dp(MARGIN_DP)
            words = Box(inner.x, inner.y, width, inner.height)
            write_lines(look.filled.ink, banner.words, words, 17, bold=True)
