"""What was entered last, with its keys; all of it is a page of its own."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kivy.metrics import dp
from kivy.properties import ObjectProperty

from mobile.presenters.intents import Page, TurnTo
from mobile.texts.english import ENGLISH
from mobile.widgets.drawn import Drawn
from mobile.widgets.ink import Align, Box, fill, rule, wraps, write
from mobile.widgets.key import Key

if TYPE_CHECKING:
    from mobile.presenters.entry_lines import EntryLine
    from mobile.texts.shape import Texts
    from mobile.theme import Pair

__all__ = ["EntriesView", "draw_entry"]

KEY_DP, GAP_DP = 48.0, 8.0
STRIKE_DP = 76.0
LINE_DP = 19.0


class EntriesView(Drawn):
    """The newest entry with its keys, and a few before it."""

    texts: Texts = ObjectProperty(ENGLISH)

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self._strike = Key(text_dp=15)
        self._amend = Key(text_dp=15)
        self._all = EarlierKey(intent=TurnTo(Page.ENTRIES))

    def arrange(self) -> None:
        """Puts strike and amend beside the newest entry."""
        lines: tuple[EntryLine, ...] = self.model or ()
        y = self.top - dp(KEY_DP + GAP_DP / 2)
        right = self.right - dp(GAP_DP)
        newest = lines[0] if lines else None
        self._amend.label = self.texts.entries.amend
        self._amend.intent = newest.amend if newest else None
        self._strike.label = (
            newest.strike_label if newest else self.texts.entries.strike
        )
        self._strike.intent = newest.strike if newest else None
        for key in (self._amend, self._strike):
            box = Box(right - dp(STRIKE_DP), y, dp(STRIKE_DP), dp(KEY_DP))
            key.stand(box, self.look)
            right = box.x - dp(GAP_DP)
        height = y - self.y - dp(2 * GAP_DP)
        earlier = Box(self.x, self.y + dp(GAP_DP), self.width, height)
        self._all.stand(earlier, self.look)
        self._all.model, self._all.texts = lines[1:], self.texts
        self.hold([self._amend, self._strike, self._all])

    def draw(self) -> None:
        """Draws the newest entry."""
        lines: tuple[EntryLine, ...] = self.model or ()
        look = self.look
        y = self.top - dp(KEY_DP + GAP_DP / 2)
        box = Box(self.x + dp(10), y, self._strike.x - self.x - dp(16), dp(KEY_DP))
        if lines:
            draw_entry(lines[0], look.margin, box, 16)
        else:
            empty = self.texts.entries.empty
            write(look.margin_soft.ink, empty, box, 14, align=Align.LEFT)


class EarlierKey(Key):
    """The entries before the newest; the whole list is the key to all of them."""

    texts: Texts = ObjectProperty(ENGLISH)

    def draw(self) -> None:
        """Draws as many lines as fit."""
        pair = self.look.filled if self.pressed else self.look.margin_soft
        fill(pair.ground, self.box)
        words = self.texts.entries.all_entries
        at = Box(self.right - dp(112), self.y, dp(104), self.height)
        rule(self.look.rule, (at.x, at.y + dp(4)), (at.x, at.top - dp(4)))
        write(pair.ink, words, at, 14, bold=True)
        top = self.top
        for line in self.model or ():
            box = Box(
                self.x + dp(10), top - dp(LINE_DP), at.x - self.x - dp(16), dp(LINE_DP)
            )
            if box.y < self.y:
                break
            draw_entry(line, pair, box, 13)
            top = box.y


def draw_entry(line: EntryLine, pair: Pair, box: Box, size_dp: float) -> None:
    """Draws one entry: moment, words; a struck one is struck through."""
    moment = Box(box.x, box.y, dp(size_dp * 3.3), box.height)
    write(pair.ink, line.moment, moment, size_dp, align=Align.LEFT)
    words = Box(moment.right, box.y, box.width - moment.width, box.height)
    is_large = size_dp > 14
    lines = wraps(line.words, words, size_dp) if is_large else None
    if lines is None:
        write(pair.ink, line.words, words, size_dp, align=Align.LEFT, bold=is_large)
    else:
        half = words.height * 0.42
        middle = words.y + words.height / 2
        for text, y in zip(lines, (middle, middle - half), strict=True):
            row = Box(words.x, y, words.width, half)
            write(pair.ink, text, row, size_dp - 2, align=Align.LEFT, bold=True)
    if line.struck:
        middle = box.y + box.height / 2
        rule(pair.ink, (words.x, middle), (words.x + words.width * 0.75, middle))
