"""The keys that belong to the game and not to a team: arrow, period, more."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kivy.metrics import dp
from kivy.properties import ObjectProperty

from mobile.presenters.intents import Page, TurnTo
from mobile.texts.english import ENGLISH
from mobile.widgets.drawn import Drawn
from mobile.widgets.ink import Box, rule, write
from mobile.widgets.key import Key, Sign

if TYPE_CHECKING:
    from mobile.presenters.steps import ArrowKey, NextStep
    from mobile.texts.shape import Texts

__all__ = ["ActionsView"]

KEY_DP, GAP_DP = 48.0, 8.0
ARROW_DP, MORE_DP, WORD_DP = 56.0, 64.0, 40.0


class ActionsView(Drawn):
    """Two rows: the arrow, and what comes next in the game beside everything else."""

    texts: Texts = ObjectProperty(ENGLISH)
    arrows: tuple[ArrowKey, ArrowKey] | None = ObjectProperty(None, allownone=True)

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        for name in ("texts", "arrows"):
            self.fbind(name, self.redraw)
        self._left = Key(sign=Sign.LEFT)
        self._right = Key(sign=Sign.RIGHT)
        self._step = Key(text_dp=16)
        self._more = Key(text_dp=15, intent=TurnTo(Page.MORE))

    def arrange(self) -> None:
        """Puts the keys in one row where it is low, else in two."""
        step: NextStep | None = self.model
        if step is None or self.arrows is None:
            self.hold([])
            return
        for key, arrow in zip((self._left, self._right), self.arrows, strict=True):
            key.intent, key.filled = arrow.intent, arrow.points_here
        self._step.label, self._step.intent = step.label, step.intent
        self._more.label = self.texts.book.more
        if self._is_low:
            row = self._row()
            widths = (ARROW_DP, None, ARROW_DP, MORE_DP)
            self._lay(row, (self._left, self._step, self._right, self._more), widths)
        else:
            upper, lower = self._upper(), self._row()
            wide = dp(88)
            left = Box(upper.x, upper.y, wide, upper.height)
            self._left.stand(left, self.look)
            right = Box(upper.right - wide, upper.y, wide, upper.height)
            self._right.stand(right, self.look)
            self._lay(lower, (self._step, self._more), (None, 72.0))
        self.hold([self._left, self._right, self._step, self._more])

    @property
    def _is_low(self) -> bool:
        return bool(self.height < dp(2 * KEY_DP + 2 * GAP_DP))

    def _row(self) -> Box:
        inner = self.box.inset(dp(GAP_DP))
        y = self.y if self._is_low else inner.y
        return Box(inner.x, y, inner.width, dp(KEY_DP))

    def _upper(self) -> Box:
        inner = self.box.inset(dp(GAP_DP))
        return Box(inner.x, inner.top - dp(KEY_DP), inner.width, dp(KEY_DP))

    def _lay(
        self, row: Box, keys: tuple[Key, ...], widths_dp: tuple[float | None, ...]
    ) -> None:
        """Lays keys side by side; the one without a width takes what is left."""
        taken = sum(dp(width) for width in widths_dp if width is not None)
        left = row.width - taken - dp(GAP_DP) * (len(keys) - 1)
        x = row.x
        for key, width_dp in zip(keys, widths_dp, strict=True):
            width = left if width_dp is None else dp(width_dp)
            key.stand(Box(x, row.y, width, row.height), self.look)
            x += width + dp(GAP_DP)

    def draw(self) -> None:
        """Draws the word between the arrow's ends, where there is room."""
        look = self.look
        rule(look.rule, (self.x, self.y), (self.x, self.top))
        upper = self._upper()
        between = Box(
            self._left.right, upper.y, self._right.x - self._left.right, upper.height
        )
        if not self._is_low and between.width >= dp(WORD_DP):
            write(look.margin_soft.ink, self.texts.book.arrow, between, 13)
