"""All courts as cards, as many as there are: only what is seen is drawn."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kivy.graphics import PopMatrix, PushMatrix, Translate
from kivy.graphics.scissor_instructions import ScissorPop, ScissorPush
from kivy.metrics import dp
from kivy.properties import BooleanProperty, NumericProperty

from mobile.presenters.intents import OpenCourt
from mobile.presenters.strip import Agreement
from mobile.widgets.drawn import Drawn
from mobile.widgets.ink import Align, Box, fill, frame, hatch, write

if TYPE_CHECKING:
    from collections.abc import Iterator

    from kivy.input.motionevent import MotionEvent

    from mobile.presenters.courts import CourtCard, CourtTeam
    from mobile.theme import Pair

__all__ = ["CourtList"]

CARD_DP, CARD_WIDTH_DP, GAP_DP = 136.0, 300.0, 8.0
WHEEL_DP, SLOP_DP = 60.0, 12.0
SPARE_ROWS = 3
"""Drawn beyond what is seen, so that scrolling seldom has to draw anew."""


class CourtList(Drawn):
    """The cards in columns; a finger or a wheel moves them, a touch opens one."""

    scrolled = NumericProperty(0.0)
    """How far the list has been moved up, in pixels."""
    held: bool = BooleanProperty(False)
    """A finger is on the list, so no card should move away from under it."""

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self._shift = Translate(0, 0)
        self._drawn = range(0)
        self.fbind("scrolled", self._scroll)

    @property
    def _columns(self) -> int:
        return max(1, int(self.width / dp(CARD_WIDTH_DP)))

    @property
    def most_scrolled(self) -> float:
        """How far the list can be moved."""
        cards: tuple[CourtCard, ...] = self.model or ()
        rows = -(-len(cards) // self._columns)
        height = rows * dp(CARD_DP + GAP_DP) + dp(GAP_DP)
        return float(max(0.0, height - self.height))

    def box_of(self, place: int) -> Box:
        """Where the card at that place stands while nothing is scrolled."""
        row, column = divmod(place, self._columns)
        width = (self.width - dp(GAP_DP)) / self._columns
        top = self.top - dp(GAP_DP) - row * dp(CARD_DP + GAP_DP)
        x = self.x + dp(GAP_DP) + column * width
        return Box(x, top - dp(CARD_DP), width - dp(GAP_DP), dp(CARD_DP))

    def _rows_seen(self) -> range:
        pitch = dp(CARD_DP + GAP_DP)
        first = max(0, int(self.scrolled / pitch))
        return range(first, first + int(self.height / pitch) + 2)

    def _scroll(self, *_: object) -> None:
        """Shifts what is drawn, and draws anew only where that is not enough."""
        self._shift.y = self.scrolled
        seen = self._rows_seen()
        if seen.start < self._drawn.start or seen.stop > self._drawn.stop:
            self.redraw()

    def _cards_in(self, rows: range) -> Iterator[tuple[CourtCard, Box]]:
        cards: tuple[CourtCard, ...] = self.model or ()
        first, last = rows.start * self._columns, rows.stop * self._columns
        for place, card in enumerate(cards[first:last], start=first):
            yield card, self.box_of(place)

    def on_touch_down(self, touch: MotionEvent) -> bool:
        """Takes a finger, or a turn of the wheel."""
        if not self.collide_point(*touch.pos):
            return False
        if touch.is_mouse_scrolling:
            step = dp(WHEEL_DP) * (1 if touch.button == "scrollup" else -1)
            self._scroll_to(self.scrolled + step)
            return True
        touch.grab(self)
        self.held = True
        touch.ud[self] = (touch.y, self.scrolled)
        return True

    def on_touch_move(self, touch: MotionEvent) -> bool:
        """Moves the list with the finger."""
        if touch.grab_current is not self:
            return False
        start_y, start = touch.ud[self]
        self._scroll_to(start + touch.y - start_y)
        return True

    def on_touch_up(self, touch: MotionEvent) -> bool:
        """Opens the card under a finger that has not moved the list."""
        if touch.grab_current is not self:
            return False
        touch.ungrab(self)
        self.held = False
        if abs(touch.y - touch.ud[self][0]) <= dp(SLOP_DP):
            y = touch.y - self.scrolled
            for card, box in self._cards_in(self._rows_seen()):
                if box.x <= touch.x <= box.right and box.y <= y <= box.top:
                    self.dispatch("on_touched", OpenCourt(card.id))
        return True

    def _scroll_to(self, scrolled: float) -> None:
        self.scrolled = min(self.most_scrolled, max(0.0, scrolled))

    def draw(self) -> None:
        """Draws the cards that are seen, and nothing beyond the list's edge."""
        ScissorPush(
            x=int(self.x), y=int(self.y), width=int(self.width), height=int(self.height)
        )
        PushMatrix()
        self._shift = Translate(0, self.scrolled)
        seen = self._rows_seen()
        self._drawn = range(max(0, seen.start - SPARE_ROWS), seen.stop + SPARE_ROWS)
        for card, box in self._cards_in(self._drawn):
            self._draw_card(card, box)
        PopMatrix()
        ScissorPop()

    def _draw_card(self, card: CourtCard, box: Box) -> None:
        look = self.look
        pair = self._ground(card, box)
        inner = box.inset(dp(10))
        head = Box(inner.x, inner.top - dp(22), inner.width, dp(22))
        width = inner.width * 0.4
        court = Box(head.x, head.y, width, head.height)
        moment = Box(head.x + width, head.y, inner.width - width, head.height)
        write(pair.ink, card.court, court, 17, align=Align.LEFT, bold=True)
        write(pair.ink, card.moment, moment, 14, align=Align.RIGHT)
        for place, team in enumerate(card.teams):
            y = head.y - (place + 1) * dp(28)
            self._draw_team(team, Box(inner.x, y, inner.width, dp(28)), pair)
        links = Box(inner.x, inner.y, inner.width, dp(18))
        sign = Box(inner.x, links.top + dp(2), dp(22), links.height)
        words = Box(sign.right, sign.y, inner.width - sign.width, sign.height)
        is_loud = card.agreement is Agreement.MISMATCH
        write(pair.ink, card.agreement.value, sign, 18, align=Align.LEFT, bold=is_loud)
        write(pair.ink, card.words, words, 13, align=Align.LEFT, bold=is_loud)
        soft = pair if pair is not look.page else look.soft
        write(soft.ink, card.links, links, 12, align=Align.LEFT)

    def _ground(self, card: CourtCard, box: Box) -> Pair:
        look = self.look
        match card.agreement:
            case Agreement.MISMATCH:
                fill(look.mismatch.ground, box)
                frame(look.frame, box, width_dp=5)
                return look.mismatch
            case Agreement.UNHEARD:
                fill(look.unheard.ground, box)
                frame(look.line, box, width_dp=1.5)
                return look.unheard
            case Agreement.SETTLING:
                hatch(look.settling.ground, box)
                frame(look.line, box, width_dp=1.5)
                return look.settling
            case Agreement.AGREED:
                fill(look.page.ground, box)
                frame(look.rule, box, width_dp=1.5)
                return look.page

    def _draw_team(self, team: CourtTeam, box: Box, pair: Pair) -> None:
        scores = Box(box.right - dp(110), box.y, dp(110), box.height)
        name = Box(box.x, box.y, scores.x - box.x, box.height)
        write(pair.ink, team.name, name, 15, align=Align.LEFT)
        sign = "=" if team.book == team.board else "≠"
        third = scores.width / 3
        book = Box(scores.x, box.y, third, box.height)
        middle = Box(book.right, box.y, third, box.height)
        board = Box(middle.right, box.y, third, box.height)
        write(pair.ink, team.book, book, 19, align=Align.RIGHT, bold=True)
        write(pair.ink, sign, middle, 16)
        write(pair.ink, team.board, board, 19, align=Align.LEFT, bold=True)
