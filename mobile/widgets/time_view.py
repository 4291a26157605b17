"""The game clock, its great key, and the keys that belong to it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kivy.metrics import dp
from kivy.properties import BooleanProperty, ObjectProperty

from mobile.presenters.intents import Page, TurnTo
from mobile.presenters.timers import Signal
from mobile.texts.english import ENGLISH
from mobile.widgets.board_keys import print_legends, show
from mobile.widgets.drawn import Drawn
from mobile.widgets.ink import Box, fill, frame, rule, write
from mobile.widgets.key import Key, Sign

if TYPE_CHECKING:
    from mobile.presenters.clock_board import ClockBoard
    from mobile.presenters.timers import Timer
    from mobile.texts.shape import Texts

__all__ = ["TimeView"]

GAP_DP, KEY_DP = 8.0, 48.0
PERIOD_DP, TIMER_DP = 34.0, 56.0


class TimeView(Drawn):
    """The middle of the board; where it is narrow, its upper part."""

    texts: Texts = ObjectProperty(ENGLISH)
    narrow: bool = BooleanProperty(False)

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self.fbind("texts", self.redraw)
        self._great = Key(at_once=True)
        self._left = Key(sign=Sign.LEFT)
        self._right = Key(sign=Sign.RIGHT)
        self._others = [Key(text_dp=16) for _ in range(3)]
        self._more = Key(text_dp=16, intent=TurnTo(Page.MORE))

    def arrange(self) -> None:
        """Puts the great key in the middle and the others under it."""
        board: ClockBoard | None = self.model
        if board is None:
            self.hold([])
            return
        for key, arrow in zip((self._left, self._right), board.arrows, strict=True):
            show(key, arrow)
        self._more.label = self.texts.book.more
        show(self._great, board.great)
        others = (board.set_clock, board.step, board.take_back)
        for key, board_key in zip(self._others, others, strict=True):
            show(key, board_key)
        if self.narrow:
            self._arrange_narrow()
        else:
            self._arrange_wide()
            print_legends((self._great, *self._others), (board.great, *others))
        self.hold([self._great, self._left, self._right, *self._others, self._more])

    def _arrange_wide(self) -> None:
        inner = self.box.inset(dp(16))
        row = dp(56)
        y = inner.y
        set_clock, step, take_back = self._others
        self._lay(
            Box(inner.x, y, inner.width, row), (set_clock, step, take_back, self._more)
        )
        y += row + dp(GAP_DP)
        arrow = dp(120)
        self._left.stand(Box(inner.x, y, arrow, row), self.look)
        self._right.stand(Box(inner.right - arrow, y, arrow, row), self.look)
        y += row + dp(GAP_DP * 2)
        height = min(dp(170), (inner.top - y) * 0.46)
        self._great.text_dp = 52
        self._great.stand(Box(inner.x, y, inner.width, height), self.look)

    def _arrange_narrow(self) -> None:
        inner = self.box.inset(dp(GAP_DP))
        row = dp(KEY_DP)
        keys = (self._left, *self._others, self._more, self._right)
        self._lay(Box(inner.x, inner.y, inner.width, row), keys)
        y = inner.y + row + dp(GAP_DP)
        half = (inner.width - dp(GAP_DP)) / 2
        self._great.text_dp = 30
        great = Box(inner.right - half, y, half, inner.top - y)
        self._great.stand(great, self.look)

    def _lay(self, row: Box, keys: tuple[Key, ...]) -> None:
        gap = dp(GAP_DP)
        width = (row.width - gap * (len(keys) - 1)) / len(keys)
        for place, key in enumerate(keys):
            key.text_dp = 13 if self.narrow else 16
            x = row.x + place * (width + gap)
            key.stand(Box(x, row.y, width, row.height), self.look)

    def draw(self) -> None:
        """Draws period, time, and the timer that runs beside the clock."""
        board: ClockBoard | None = self.model
        look = self.look
        rule(look.rule, (self.right, self.y), (self.right, self.top))
        if board is None:
            return
        inner = self.box.inset(dp(GAP_DP if self.narrow else 16))
        great = self._great
        if self.narrow:
            face = Box(inner.x, great.y, great.x - inner.x - dp(GAP_DP), great.height)
        else:
            face = Box(inner.x, great.top, inner.width, inner.top - great.top)
            words = Box(inner.x, self._left.y, inner.width, self._left.height)
            write(look.margin_soft.ink, self.texts.clock.arrow, words, 15)
        period_height = dp(20 if self.narrow else PERIOD_DP)
        period = Box(face.x, face.top - period_height, face.width, period_height)
        write(look.margin.ink, board.period, period, 14 if self.narrow else 22)
        time = Box(face.x, face.y, face.width, period.y - face.y)
        if board.timer is not None:
            time = self._draw_timer(board.timer, time)
        write(
            look.margin.ink,
            board.time,
            time,
            min(190.0, time.height / dp(1)),
            bold=True,
        )

    def _draw_timer(self, timer: Timer, box: Box) -> Box:
        """Draws a timer at the foot of a box, and gives what is left of it."""
        look, texts = self.look, self.texts.clock
        height = dp(22 if self.narrow else TIMER_DP)
        foot = Box(box.x, box.y, box.width, height)
        words = f"{timer.title}  {timer.text}"
        pair = look.margin
        if timer.signal is not None:
            signal = texts.over if timer.signal is Signal.END else texts.warning
            words, pair = f"{words}  {signal}", look.notice
            fill(pair.ground, foot)
            frame(look.line, foot, width_dp=3)
        write(pair.ink, words, foot.inset(dp(4)), 14 if self.narrow else 26, bold=True)
        return Box(box.x, foot.top, box.width, box.top - foot.top)
