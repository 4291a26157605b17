"""The findings as cards: the first that waits for an answer, in a thick frame."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kivy.metrics import dp
from kivy.properties import BooleanProperty, ObjectProperty

from mobile.presenters.cards import CardKind
from mobile.presenters.intents import NextCard
from mobile.texts.english import ENGLISH
from mobile.widgets.drawn import Drawn
from mobile.widgets.ink import Align, Box, fill, frame, rule, write, write_lines
from mobile.widgets.key import Key

if TYPE_CHECKING:
    from mobile.presenters.cards import Card
    from mobile.texts.shape import Texts

__all__ = ["TEXT_DP", "CardView"]

KEY_DP, GAP_DP, FRAME_DP, EDGE_DP = 48.0, 8.0, 5.0, 3.0
HEAD_DP, TEXT_DP, FOOT_GAP_DP = 18.0, 15.0, 2.0

_SIGNS = {
    CardKind.FINDING: "≠",
    CardKind.NOTICE: "!",
    CardKind.TROUBLE: "X",
    CardKind.ASKED: "?",
}


class CardView(Drawn):
    """One card, and the way to the next where there are several."""

    texts: Texts = ObjectProperty(ENGLISH)
    numbered: bool = BooleanProperty(False)
    """Each answer shows the digit of the keyboard that gives it."""

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self._answers: list[Key] = []
        self._next = Key(text_dp=14, intent=NextCard())

    @property
    def _card(self) -> Card | None:
        cards: tuple[Card, ...] = self.model or ()
        return cards[0] if cards else None

    def arrange(self) -> None:
        """Puts the answers in a row at the foot, sharing its width."""
        card = self._card
        if card is None:
            self.hold([])
            return
        meant = [(answer.label, answer.intent) for answer in card.answers]
        if [(key.label, key.intent) for key in self._answers] != meant:
            self._answers = [
                Key(label=label, intent=intent, text_dp=14) for label, intent in meant
            ]
            for place, key in enumerate(self._answers, start=1):
                key.legend = str(place) if self.numbered else ""
        inner = self._inner()
        keys = list(self._answers)
        left = inner.x
        if card.place:
            self._next.label = card.place
            box = Box(left, inner.y, dp(KEY_DP), dp(KEY_DP))
            keys.append(self._next)
            self._next.stand(box, self.look)
            left = box.right + dp(GAP_DP)
        width = (inner.right - left + dp(GAP_DP)) / max(1, len(self._answers))
        for place, key in enumerate(self._answers):
            x = left + place * width
            key.stand(Box(x, inner.y, width - dp(GAP_DP), dp(KEY_DP)), self.look)
        self.hold(keys)

    def _inner(self) -> Box:
        return self.box.inset(dp(FRAME_DP + EDGE_DP))

    @property
    def text_box(self) -> Box:
        """Where the sentence stands: between the head and the keys."""
        inner = self._inner()
        foot = inner.y + dp(KEY_DP + FOOT_GAP_DP)
        return Box(inner.x, foot, inner.width, inner.top - dp(HEAD_DP) - foot)

    def draw(self) -> None:
        """Draws the head and the sentence."""
        card, look = self._card, self.look
        if card is None:
            words = self.texts.cards.none_open
            write(look.margin_soft.ink, words, self.box.inset(dp(12)), 14)
            rule(look.rule, (self.x, self.y), (self.x, self.top))
            return
        is_notice = card.kind in (CardKind.NOTICE, CardKind.ASKED)
        pair = look.notice if is_notice else look.mismatch
        body = look.notice if is_notice else look.page
        fill(pair.ground, self.box)
        frame(look.line if is_notice else look.frame, self.box, width_dp=FRAME_DP)
        inner = self._inner()
        head = Box(inner.x, inner.top - dp(HEAD_DP), inner.width, dp(HEAD_DP))
        words = f"{_SIGNS[card.kind]}  {card.head}"
        write(pair.ink, words, head, 17, align=Align.LEFT, bold=True)
        said = f"{card.status} · {card.text}" if card.status else card.text
        write_lines(body.ink, said, self.text_box, TEXT_DP)
