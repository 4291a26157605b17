"""The agreement strip, drawn: mine, the sign, my partner's."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kivy.metrics import dp
from kivy.properties import NumericProperty

from mobile.presenters.strip import Agreement
from mobile.widgets.drawn import Drawn
from mobile.widgets.ink import Align, Box, fill, frame, hatch, rule, write

if TYPE_CHECKING:
    from mobile.presenters.strip import Cell, PartnerCell, Strip
    from mobile.theme import Pair

__all__ = ["StripView"]

FRAME_DP, TIGHT_FRAME_DP = 4.0, 2.5
COUNTED_MOST = 4
"""The cells of score and team fouls."""
SHARES = (1.0, 1.0, 1.0, 1.0, 0.75, 0.9, 0.9, 1.35, 1.1)
"""How wide the cells are beside each other in two rows; the arrow is two words."""


class StripView(Drawn):
    """The strip, in as many rows as asked for."""

    rows = NumericProperty(1)

    def draw(self) -> None:
        """Draws every cell."""
        strip: Strip | None = self.model
        if strip is not None:
            *boxes, last = self._boxes(len(strip.cells) + 1)
            for cell, box in zip(strip.cells, boxes, strict=True):
                self._draw_cell(cell, box)
            self._draw_partner(strip.partner, last)
        fill(self.look.line, Box(self.x, self.y, self.width, dp(2)))

    def _boxes(self, parts: int) -> list[Box]:
        """A box for each part; of two rows the first has what is counted most."""
        in_rows = [SHARES[:COUNTED_MOST], SHARES[COUNTED_MOST:]]
        if self.rows == 1:
            in_rows = [(1.0,) * parts]
        height = (self.height - dp(2)) / self.rows
        boxes = []
        for row, shares in enumerate(in_rows):
            y = round(self.top - (row + 1) * height)
            for column in range(len(shares)):
                left, right = (
                    round(self.x + self.width * sum(shares[:end]) / sum(shares))
                    for end in (column, column + 1)
                )
                boxes.append(Box(left, y, right - left, round(height)))
        return boxes

    def _draw_cell(self, cell: Cell, box: Box) -> None:
        pair = self._ground(cell.state, box)
        is_tight = self.rows == 2
        words_dp, value_dp, title_dp = (10, 15, 10) if is_tight else (12, 24, 12)
        inner = box.inset(dp(3 if is_tight else 6))
        row = inner.height * (0.31 if is_tight else 0.28)
        title = Box(inner.x, inner.top - row, inner.width, row)
        words = Box(inner.x, inner.y, inner.width, row)
        values = Box(inner.x, words.top, inner.width, title.y - words.top)
        soft = pair if cell.state is not Agreement.AGREED else self.look.margin_soft
        words_above = cell.short_title if is_tight else cell.title
        write(soft.ink, words_above, title, title_dp)
        self._draw_values(cell, pair, values, value_dp)
        is_loud = cell.state is Agreement.MISMATCH
        write(soft.ink, cell.words, words, words_dp, bold=is_loud)

    def _ground(self, state: Agreement, box: Box) -> Pair:
        """Lays the cell's ground and tells in what is to be written on it."""
        look = self.look
        if state is Agreement.MISMATCH:
            fill(look.mismatch.ground, box)
            frame(
                look.frame, box, width_dp=TIGHT_FRAME_DP if self.rows == 2 else FRAME_DP
            )
            return look.mismatch
        if state is Agreement.SETTLING:
            hatch(look.settling.ground, box)
        if state is Agreement.UNHEARD:
            fill(look.unheard.ground, box)
            # In two rows the words need what room there is.
            inner = box if self.rows == 2 else box.inset(dp(2))
            frame(look.unheard.ink, inner, width_dp=1.0 if self.rows == 2 else 1.5)
        rule(look.rule, (box.right, box.y), (box.right, box.top))
        match state:
            case Agreement.AGREED:
                return look.margin
            case Agreement.SETTLING:
                return look.settling
            case Agreement.UNHEARD:
                return look.unheard

    def _draw_values(self, cell: Cell, pair: Pair, box: Box, size_dp: float) -> None:
        """Mine on the left of the sign, my partner's on its right."""
        sign_width = dp(size_dp * 1.1)
        half = (box.width - sign_width) / 2
        mine = Box(box.x, box.y, half, box.height)
        sign = Box(mine.right, box.y, sign_width, box.height)
        theirs = Box(sign.right, box.y, half, box.height)
        write(pair.ink, cell.mine, mine, size_dp, align=Align.RIGHT, bold=True)
        write(pair.ink, cell.state.value, sign, size_dp)
        write(pair.ink, cell.theirs, theirs, size_dp, align=Align.LEFT, bold=True)

    def _draw_partner(self, partner: PartnerCell, box: Box) -> None:
        look = self.look
        pair = look.margin if partner.in_touch else look.unheard
        soft = look.margin_soft if partner.in_touch else look.unheard
        fill(pair.ground, box)
        is_tight = self.rows == 2
        inner = box.inset(dp(3 if is_tight else 6))
        row = inner.height * (0.31 if is_tight else 0.28)
        title = Box(inner.x, inner.top - row, inner.width, row)
        words = Box(inner.x, inner.y, inner.width, row)
        name = Box(inner.x, words.top, inner.width, title.y - words.top)
        write(soft.ink, partner.title, title, 10 if is_tight else 12)
        write(pair.ink, partner.name, name, 13 if is_tight else 18, bold=True)
        write(soft.ink, partner.words, words, 10 if is_tight else 12)
