"""The number pad with which the clock is set."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kivy.metrics import dp

from mobile.widgets.board_keys import show
from mobile.widgets.drawn import Drawn
from mobile.widgets.ink import Box, write
from mobile.widgets.key import Key

if TYPE_CHECKING:
    from mobile.presenters.clock_board import NumberPad

__all__ = ["NumberPadView"]

COLUMNS, GAP_DP, WIDE_DP = 3, 8.0, 420.0
ROWS = 6
"""What has been typed, four rows of digits, and the way out."""


class NumberPadView(Drawn):
    """The pad, in the middle of its place."""

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self._digits = [Key(text_dp=26) for _ in range(12)]
        self._done = Key(text_dp=20)
        self._back = Key(text_dp=20)

    def _grid(self) -> tuple[Box, float]:
        """The pad's place, and how high one row is."""
        width = min(self.width - dp(4 * GAP_DP), dp(WIDE_DP))
        x = self.x + (self.width - width) / 2
        box = Box(x, self.y + dp(GAP_DP), width, self.height - dp(2 * GAP_DP))
        return box, min(dp(80), box.height / ROWS)

    def arrange(self) -> None:
        """Puts the digits as on a telephone."""
        pad: NumberPad | None = self.model
        if pad is None:
            self.hold([])
            return
        grid, height = self._grid()
        gap = dp(GAP_DP)
        width = (grid.width - gap * (COLUMNS - 1)) / COLUMNS
        for place, (key, board_key) in enumerate(
            zip(self._digits, pad.keys, strict=True)
        ):
            row, column = divmod(place, COLUMNS)
            y = grid.top - (row + 2) * height
            x = grid.x + column * (width + gap)
            show(key, board_key).stand(Box(x, y, width, height - gap), self.look)
        half = (grid.width - gap) / 2
        y = grid.top - ROWS * height
        back = Box(grid.x, y, half, height - gap)
        done = Box(grid.x + half + gap, y, half, height - gap)
        show(self._back, pad.back).stand(back, self.look)
        show(self._done, pad.done).stand(done, self.look)
        self.hold([*self._digits, self._back, self._done])

    def draw(self) -> None:
        """Draws what has been typed."""
        pad: NumberPad | None = self.model
        if pad is not None:
            grid, height = self._grid()
            typed = Box(grid.x, grid.top - height, grid.width, height)
            write(self.look.margin.ink, pad.typed, typed, 52, bold=True)
