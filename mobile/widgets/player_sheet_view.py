"""All keys of one player: points, kinds of foul, and who comes in for him.

A finger that came down on the number can slide to a key here, or tap it.
"""

from __future__ import annotations

from collections import defaultdict
from functools import partial
from typing import TYPE_CHECKING

from kivy.metrics import dp
from kivy.properties import ObjectProperty

from mobile.texts.english import ENGLISH
from mobile.widgets.drawn import Drawn
from mobile.widgets.ink import Box, fill
from mobile.widgets.key import Key, Sign

if TYPE_CHECKING:
    from mobile.presenters.player_sheet import PlayerSheet
    from mobile.texts.shape import Texts

__all__ = ["PLAYER_SHEET_DP", "PlayerSheetView"]

KEY_DP, GAP_DP = 48.0, 8.0
BENCH_ROWS = 2
PLAYER_SHEET_DP = (1 + BENCH_ROWS) * (KEY_DP + GAP_DP)


class PlayerSheetView(Drawn):
    """A row of keys for what the player does, and two for who comes in."""

    texts: Texts = ObjectProperty(ENGLISH)

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self.fbind("texts", self.redraw)
        slides = partial(Key, takes_slides=True)
        self._three = slides(label="3", text_dp=20)
        self._made, self._missed = slides(sign=Sign.MADE), slides(sign=Sign.MISSED)
        self._kinds = slides(text_dp=15)
        self._cancel = Key(text_dp=13)
        self._bench: defaultdict[str, Key] = defaultdict(partial(slides, text_dp=20))

    def arrange(self) -> None:
        """Puts the keys in their rows, as many a row as fingers allow."""
        sheet: PlayerSheet | None = self.model
        if sheet is None:
            self.hold([])
            return
        texts = self.texts.book
        keys = sheet.keys
        self._three.intent, self._kinds.intent = keys.three, sheet.kinds
        self._made.intent, self._missed.intent = keys.made, keys.missed
        self._cancel.intent = sheet.cancel
        self._kinds.label, self._cancel.label = texts.other_foul, texts.cancel
        acts = [self._three, self._made, self._missed, self._kinds, self._cancel]
        most = int((self.width - dp(GAP_DP)) / dp(KEY_DP + GAP_DP))
        columns = min(most, max(len(acts), -(-len(sheet.bench) // BENCH_ROWS)))
        bench = []
        for comes_in in sheet.bench[: BENCH_ROWS * columns]:
            key = self._bench[comes_in.number]
            key.label, key.caption = comes_in.number, texts.comes_in
            key.intent = comes_in.intent
            bench.append(key)
        self._lay(acts, len(acts), 0)
        for row in range(BENCH_ROWS):
            self._lay(bench[row * columns : (row + 1) * columns], columns, row + 1)
        self.hold([*acts, *bench])

    def _lay(self, keys: list[Key], columns: int, row: int) -> None:
        gap = dp(GAP_DP)
        width = (self.width - gap) / columns - gap
        y = self.top - (row + 1) * dp(KEY_DP + GAP_DP) + gap / 2
        for column, key in enumerate(keys):
            x = self.x + gap + column * (width + gap)
            key.stand(Box(x, y, width, dp(KEY_DP)), self.look)

    def draw(self) -> None:
        """Draws the ground, filled like the number that was touched."""
        fill(self.look.filled.ground, self.box)
