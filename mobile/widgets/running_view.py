"""The running score: numbers that are struck as they are reached."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kivy.metrics import dp

from mobile.presenters.running_score import AHEAD, ScoreMark
from mobile.widgets.drawn import Drawn
from mobile.widgets.ink import Align, Box, dot, fill, ring, slash, write

if TYPE_CHECKING:
    from mobile.presenters.running_score import RunningBox

__all__ = ["RunningView"]

BOX_DP = 28.0


class RunningView(Drawn):
    """As many of the newest boxes as fit."""

    def draw(self) -> None:
        """Draws the strip."""
        boxes: tuple[RunningBox, ...] = self.model or ()
        look = self.look
        fill(look.line, Box(self.x, self.top - dp(1), self.width, dp(1)))
        count = min(len(boxes), max(1, int(self.width / dp(BOX_DP))))
        width = self.width / count if count else 0.0
        reached = [n for n, box in enumerate(boxes) if box.mark is not ScoreMark.OPEN]
        end = min(len(boxes), max(count, max(reached, default=0) + 1 + AHEAD))
        shown = boxes[end - count : end]
        places = [
            Box(self.x + place * width, self.y, width, self.height)
            for place in range(count)
        ]
        thin = max(1.0, dp(1))
        fill(look.rule, *(Box(b.right - thin, b.y, thin, b.height) for b in places))
        for box, place in zip(shown, places, strict=True):
            self._draw_box(box, place)

    def _draw_box(self, running: RunningBox, box: Box) -> None:
        look = self.look
        is_reached = running.mark is not ScoreMark.OPEN
        pair = look.margin if is_reached else look.margin_soft
        total = Box(box.x, box.y + dp(14), box.width, box.height - dp(16))
        write(pair.ink, str(running.total), total, 15, bold=is_reached)
        centre = (total.x + total.width / 2, total.y + total.height / 2)
        match running.mark:
            case ScoreMark.GOAL:
                struck = Box(centre[0] - dp(11), centre[1] - dp(9), dp(22), dp(18))
                slash(look.margin.ink, struck)
            case ScoreMark.FREE_THROW:
                dot(look.margin.ink, (centre[0] + dp(10), centre[1] + dp(7)), dp(3))
            case ScoreMark.OPEN:
                pass
        if running.scorer:
            scorer = Box(box.x, box.y + dp(1), box.width, dp(14))
            write(look.margin_soft.ink, running.scorer, scorer, 11, align=Align.CENTRE)
            if running.three:
                place = (scorer.x + scorer.width / 2, scorer.y + scorer.height / 2)
                ring(look.margin_soft.ink, place, dp(8), 1)
        if running.last_of_period:
            fill(look.line, Box(box.right - dp(2), box.y, dp(3), box.height))
