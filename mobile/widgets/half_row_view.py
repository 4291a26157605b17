"""One player's row on half the width of a phone: number, 2, fouls.

The number is the key to everything else that the player can do.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from kivy.metrics import dp

from mobile.widgets.drawn import Drawn
from mobile.widgets.foul_key import FoulKey
from mobile.widgets.ink import Box, fill
from mobile.widgets.key import Key
from mobile.widgets.player_row_view import NumberKey

if TYPE_CHECKING:
    from mobile.presenters.player_rows import PlayerRow

__all__ = ["HalfRowView"]

KEY_DP, GAP_DP = 48.0, 8.0
FOULS_SHARE = 0.32
"""How much of the row the foul boxes have, which must be read."""


class HalfRowView(Drawn):
    """A row of a player on court; every key of it acts for this player alone."""

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self._number = NumberKey(at_once=True)
        self._two = Key(label="2", text_dp=20)
        self._fouls = FoulKey()

    def arrange(self) -> None:
        """Puts the keys in their places."""
        row: PlayerRow | None = self.model
        if row is None or row.keys is None:
            self.hold([])
            return
        y, height = self.y + (self.height - dp(KEY_DP)) / 2, dp(KEY_DP)
        fouls_width = max(dp(KEY_DP), self.width * FOULS_SHARE)
        fouls = Box(self.right - fouls_width, y, fouls_width, height)
        two = Box(fouls.x - dp(GAP_DP + KEY_DP), y, dp(KEY_DP), height)
        number = Box(self.x, y, two.x - dp(GAP_DP) - self.x, height)
        self._number.stand(number, self.look)
        self._number.model, self._number.label = row, row.name
        self._number.intent, self._number.filled = row.choice, row.chosen
        self._two.stand(two, self.look)
        self._two.intent = row.keys.two
        self._fouls.stand(fouls, self.look)
        self._fouls.model, self._fouls.filled = row.fouls, row.fouls.chosen
        self._fouls.intent, self._fouls.rarer = row.fouls.usual, row.fouls.rarer
        self.hold([self._number, self._two, self._fouls])

    def draw(self) -> None:
        """Draws the rule above the row."""
        thin = max(1.0, round(dp(1)))
        fill(self.look.rule, Box(self.x, self.top - thin, self.width, thin))
