"""All entries, leaf by leaf, each with its keys."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kivy.metrics import dp

from mobile.widgets.entries_view import draw_entry
from mobile.widgets.ink import Box, fill, write_lines
from mobile.widgets.key import Key
from mobile.widgets.page_of_keys import PageOfKeys

if TYPE_CHECKING:
    from mobile.presenters.entry_lines import EntryLeaf

__all__ = ["EntryLeafView"]

LINE_DP, KEY_DP, GAP_DP = 56.0, 48.0, 8.0
KEY_WIDTH_DP = 84.0


class EntryLeafView(PageOfKeys):
    """A leaf of the list; or the question why, with the reasons as keys."""

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self._keys: list[tuple[Key, Key]] = []

    def _line_height(self, lines: int) -> float:
        return float(min(dp(LINE_DP), self.body.height / max(1, lines)))

    def arrange(self) -> None:
        """Puts two keys beside each line, and the leaves' keys at the foot."""
        leaf: EntryLeaf | None = self.model
        if leaf is None:
            self.hold([])
            return
        if leaf.reasons:
            self.hold(self.foot(leaf.reasons))
            return
        texts = self.texts.entries
        feet = self.foot(((texts.older, leaf.older), (texts.newer, leaf.newer)))
        while len(self._keys) < len(leaf.lines):
            self._keys.append((Key(text_dp=15), Key(text_dp=15)))
        body, height = self.body, self._line_height(len(leaf.lines))
        shown: list[Key] = []
        width = dp(KEY_WIDTH_DP)
        for place, (line, (strike, amend)) in enumerate(
            zip(leaf.lines, self._keys, strict=False)
        ):
            y = body.top - (place + 1) * height + dp(GAP_DP / 2)
            key_height = min(dp(KEY_DP), height - dp(GAP_DP / 2))
            strike.label, strike.intent = line.strike_label, line.strike
            amend.label, amend.intent = texts.amend, line.amend
            amend.stand(Box(body.right - width, y, width, key_height), self.look)
            x = body.right - 2 * width - dp(GAP_DP)
            strike.stand(Box(x, y, width, key_height), self.look)
            shown += [strike, amend]
        self.hold([*shown, *feet])

    def draw(self) -> None:
        """Draws the lines."""
        leaf: EntryLeaf | None = self.model
        if leaf is None:
            return
        self.draw_title(leaf.title)
        look, body = self.look, self.body
        if leaf.reasons:
            write_lines(look.page.ink, leaf.asked, body, 20, bold=True)
            return
        height = self._line_height(len(leaf.lines))
        width = body.width - 2 * dp(KEY_WIDTH_DP + GAP_DP)
        for place, line in enumerate(leaf.lines):
            y = body.top - (place + 1) * height
            fill(look.rule, Box(body.x, y, body.width, max(1.0, dp(1))))
            draw_entry(line, look.page, Box(body.x, y, width, height), 16)
