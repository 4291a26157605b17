"""What is needed seldom, as a grid of keys."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kivy.metrics import dp

from mobile.widgets.ink import Box
from mobile.widgets.key import Key
from mobile.widgets.page_of_keys import PageOfKeys

if TYPE_CHECKING:
    from mobile.presenters.more_page import MorePage

__all__ = ["MoreView"]

PITCH_DP, KEY_DP, GAP_DP, COLUMN_DP = 64.0, 56.0, 8.0, 160.0


class MoreView(PageOfKeys):
    """The grid, in as many columns as there is room for."""

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self._keys: list[Key] = []

    def arrange(self) -> None:
        """Puts the keys in columns."""
        page: MorePage | None = self.model
        if page is None:
            self.hold([])
            return
        meant = [(key.label, key.intent) for key in page.keys]
        if [(key.label, key.intent) for key in self._keys] != meant:
            self._keys = [Key(label=m[0], intent=m[1], text_dp=16) for m in meant]
        body = self.body
        columns = max(1, min(3, int(body.width / dp(COLUMN_DP))))
        rows = -(-len(self._keys) // columns)
        pitch = min(dp(PITCH_DP), body.height / rows)
        width = (body.width + dp(GAP_DP)) / columns - dp(GAP_DP)
        for place, key in enumerate(self._keys):
            row, column = divmod(place, columns)
            x = body.x + column * (width + dp(GAP_DP))
            y = body.top - (row + 1) * pitch
            key.stand(Box(x, y, width, min(dp(KEY_DP), pitch - dp(GAP_DP))), self.look)
        self.hold([*self._keys, *self.foot(())])

    def draw(self) -> None:
        """Draws the title."""
        page: MorePage | None = self.model
        if page is not None:
            self.draw_title(page.title)
