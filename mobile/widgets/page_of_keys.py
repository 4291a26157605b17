"""What the pages beside play have in common: a title, a body, the way back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kivy.metrics import dp
from kivy.properties import ObjectProperty

from mobile.presenters.intents import Back
from mobile.texts.english import ENGLISH
from mobile.widgets.drawn import Drawn
from mobile.widgets.ink import Align, Box, fill, write
from mobile.widgets.key import Key

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mobile.presenters.intents import Intent, LetIn
    from mobile.texts.shape import Texts

__all__ = ["PageOfKeys"]

KEY_DP, GAP_DP, MARGIN_DP, TITLE_DP = 48.0, 8.0, 12.0, 40.0


class PageOfKeys(Drawn):
    """A page with its title above and a row of keys at its foot."""

    texts: Texts = ObjectProperty(ENGLISH)

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self.fbind("texts", self.redraw)
        self._back = Key(intent=Back(), text_dp=15)
        self._feet: list[Key] = []

    @property
    def inner(self) -> Box:
        """The page without its margin."""
        return self.box.inset(dp(MARGIN_DP))

    @property
    def body(self) -> Box:
        """The page between title and foot."""
        inner = self.inner
        foot = inner.y + dp(KEY_DP + GAP_DP)
        return Box(inner.x, foot, inner.width, inner.top - dp(TITLE_DP) - foot)

    def foot(self, meant: Sequence[tuple[str, Intent | LetIn | None]]) -> list[Key]:
        """The keys at the foot, the way back first; all of one width."""
        if [(key.label, key.intent) for key in self._feet] != list(meant):
            self._feet = [Key(label=m[0], intent=m[1], text_dp=15) for m in meant]
        self._back.label = self.texts.back
        keys = [self._back, *self._feet]
        inner, gap = self.inner, dp(GAP_DP)
        width = (inner.width + gap) / len(keys) - gap
        for place, key in enumerate(keys):
            x = inner.x + place * (width + gap)
            key.stand(Box(x, inner.y, width, dp(KEY_DP)), self.look)
        return keys

    def draw_title(self, title: str) -> None:
        """Draws the ground and the title."""
        fill(self.look.page.ground, self.box)
        inner = self.inner
        head = Box(inner.x, inner.top - dp(TITLE_DP), inner.width, dp(TITLE_DP))
        write(self.look.page.ink, title, head, 22, align=Align.LEFT, bold=True)
