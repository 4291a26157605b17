"""The replay's screen: two lanes on one time axis, both records, an axis to scrub."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kivy.metrics import dp
from kivy.properties import ObjectProperty

from mobile.presenters.replay_page import Move, ScrubTo
from mobile.texts.english import ENGLISH
from mobile.widgets.drawing_view import LEAST_SCALE_DP, DrawingView
from mobile.widgets.drawn import Drawn
from mobile.widgets.ink import Align, Box, dot, fill, stroke, write, write_lines
from mobile.widgets.key import Key, Sign

if TYPE_CHECKING:
    from kivy.input.motionevent import MotionEvent

    from mobile.presenters.replay_page import ReplayPage
    from mobile.texts.shape import ReplayTexts, Texts

__all__ = ["ReplayScreen"]

HEAD_DP, AXIS_DP, KEYS_DP, GAP_DP = 72.0, 56.0, 56.0, 8.0
LINE_DP, WIDE_DP = 26.0, 760.0
MARGIN_DP = 16.0
LANES_SHARE = 0.45
SIGNS = {Move.BACK: Sign.LEFT, Move.NEXT: Sign.RIGHT}


class ReplayScreen(Drawn):
    """The page of one moment is the model; keys and fingers are told, not obeyed."""

    texts: Texts = ObjectProperty(ENGLISH)

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self.fbind("texts", self.redraw)
        self._lanes = DrawingView()
        self._keys = [
            Key(intent=move, sign=SIGNS.get(move, Sign.WORD), text_dp=14)
            for move, _ in _labels(self.texts.replay)
        ]

    @property
    def _key_rows(self) -> int:
        return 1 if self.width >= dp(WIDE_DP) else 2

    @property
    def axis(self) -> Box:
        """The line that stands for the whole game, with room for a finger around it."""
        margin = dp(MARGIN_DP)
        below = self.y + self._key_rows * dp(KEYS_DP) + dp(GAP_DP)
        return Box(self.x + margin, below, self.width - 2 * margin, dp(AXIS_DP))

    @property
    def _lanes_box(self) -> Box:
        top = self.top - dp(HEAD_DP)
        room = top - self.axis.top
        page: ReplayPage = self.model
        least = page.lanes.height * dp(LEAST_SCALE_DP)
        height = max(room * LANES_SHARE, min(least, room * 0.6))
        return Box(self.x, top - height, self.width, height)

    def arrange(self) -> None:
        """Places the lanes under the head, and the keys at the foot."""
        page: ReplayPage | None = self.model
        if page is None:
            self.hold([])
            return
        box = self._lanes_box
        self._lanes.model = page.lanes
        self._lanes.stand(box, self.look)
        in_a_row = len(self._keys) // self._key_rows
        width = (self.width - dp(GAP_DP)) / in_a_row
        labels = [label for _, label in _labels(self.texts.replay)]
        for place, (key, label) in enumerate(zip(self._keys, labels, strict=True)):
            key.label = label
            row, column = divmod(place, in_a_row)
            x = self.x + dp(GAP_DP) + column * width
            y = self.y + dp(GAP_DP) + (self._key_rows - 1 - row) * dp(KEYS_DP)
            room = Box(x, y, width - dp(GAP_DP), dp(KEYS_DP - GAP_DP))
            key.stand(room, self.look)
        self.hold([self._lanes, *self._keys])

    def draw(self) -> None:
        """Draws the head, the axis, and what both records show."""
        page: ReplayPage | None = self.model
        if page is None:
            return
        self._draw_head(page)
        self._draw_axis(page)
        lanes, axis = self._lanes_box, self.axis
        margin = dp(MARGIN_DP)
        body = Box(
            self.x + margin,
            axis.top + dp(GAP_DP),
            self.width - 2 * margin,
            lanes.y - axis.top - 2 * dp(GAP_DP),
        )
        if self.width >= dp(WIDE_DP):
            width = body.width * 0.58
            self._draw_table(page, body._replace(width=width))
            words = Box(
                body.x + width + margin,
                body.y,
                body.width - width - margin,
                body.height,
            )
        else:
            height = body.height * 0.66
            table = Box(body.x, body.top - height, body.width, height)
            self._draw_table(page, table)
            words = body._replace(height=body.height - height - dp(GAP_DP))
        self._draw_words(page, words)

    def _draw_head(self, page: ReplayPage) -> None:
        ink, soft = self.look.margin.ink, self.look.margin_soft.ink
        margin, half = dp(MARGIN_DP), dp(HEAD_DP) / 2
        width = self.width - 2 * margin
        upper = Box(self.x + margin, self.top - half, width, half)
        write(ink, page.heading, upper, 20, align=Align.LEFT, bold=True)
        lower = upper._replace(y=upper.y - half)
        write(soft, page.moment, lower, 15, align=Align.LEFT)
        write(soft, page.place, lower, 15, align=Align.RIGHT)

    def _draw_axis(self, page: ReplayPage) -> None:
        look, axis = self.look, self.axis
        middle = axis.y + axis.height / 2
        stroke(look.line, (axis.x, middle), (axis.right, middle), dp(3))
        for share in page.found:
            x = axis.x + share * axis.width
            mark = Box(x - dp(2), middle - dp(14), dp(4), dp(28))
            fill(look.mismatch.ink, mark)
        dot(look.margin.ink, (axis.x + page.share * axis.width, middle), dp(11))

    def _draw_table(self, page: ReplayPage, box: Box) -> None:
        look = self.look
        line = min(dp(LINE_DP), box.height / (len(page.rows) + 1))
        label = box.width * 0.2
        width = (box.width - label) / len(page.columns)
        starts = [box.x + label + width * place for place in range(len(page.columns))]
        head = Box(box.x, box.top - line, width, line)
        for x, column in zip(starts, page.columns, strict=True):
            write(
                look.margin_soft.ink, column, head._replace(x=x), 14, align=Align.LEFT
            )
        for place, one in enumerate(page.rows, start=1):
            y = head.y - place * line
            fill(look.rule, Box(box.x, y + line - dp(1), box.width, max(1.0, dp(1))))
            mark = "≠ " if one.differs else ""
            name = Box(box.x, y, label - dp(GAP_DP), line)
            soft = look.margin_soft.ink
            write(soft, f"{mark}{one.label}", name, 14, align=Align.LEFT)
            for x, cell in zip(starts, one.cells, strict=True):
                room = Box(x, y, width - dp(GAP_DP), line)
                ink = look.margin.ink
                write(ink, cell, room, 14, align=Align.LEFT, bold=one.differs)

    def _draw_words(self, page: ReplayPage, box: Box) -> None:
        # What has just been found need not be said twice.
        findings = [f"≠  {text}" for text in page.findings if text not in page.step]
        if not page.findings:
            findings = [f"=  {self.texts.replay.none_open}"]
        text = "\n\n".join([page.step, *findings])
        write_lines(self.look.margin.ink, text, box, 16)

    def on_touch_down(self, touch: MotionEvent) -> bool:
        """A finger on the axis holds on to it."""
        axis = self.axis
        if axis.y <= touch.y <= axis.top and self.collide_point(*touch.pos):
            touch.grab(self)
            self._scrub(touch)
            return True
        return bool(super().on_touch_down(touch))

    def on_touch_move(self, touch: MotionEvent) -> bool:
        """The finger goes along the axis."""
        if touch.grab_current is self:
            self._scrub(touch)
            return True
        return bool(super().on_touch_move(touch))

    def on_touch_up(self, touch: MotionEvent) -> bool:
        """The finger lets go."""
        if touch.grab_current is self:
            touch.ungrab(self)
            return True
        return bool(super().on_touch_up(touch))

    def _scrub(self, touch: MotionEvent) -> None:
        share = (touch.x - self.axis.x) / self.axis.width
        self.dispatch("on_touched", ScrubTo(share))


def _labels(texts: ReplayTexts) -> tuple[tuple[Move, str], ...]:
    """The keys at the foot, in their order."""
    return (
        (Move.FIRST, texts.first),
        (Move.FINDING_BACK, texts.finding_back),
        (Move.BACK, texts.back),
        (Move.NEXT, texts.next),
        (Move.FINDING_NEXT, texts.finding_next),
        (Move.LAST, texts.last),
        (Move.CLOSER, texts.closer),
        (Move.WIDER, texts.wider),
    )
