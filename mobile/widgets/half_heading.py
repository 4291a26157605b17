"""The head of a team on half the width of a phone: name, score, fouls, its keys."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kivy.metrics import dp
from kivy.properties import ObjectProperty

from mobile.texts.english import ENGLISH
from mobile.widgets.drawn import Drawn
from mobile.widgets.ink import Align, Box, write
from mobile.widgets.key import Key
from mobile.widgets.swatch import draw_swatch
from mobile.widgets.team_heading import TimeOutKey, draw_team_fouls

if TYPE_CHECKING:
    from mobile.presenters.team_sheet import TeamSheet
    from mobile.texts.shape import Texts

__all__ = ["HALF_HEADING_DP", "HalfHeading"]

KEY_DP, GAP_DP = 48.0, 8.0
NAME_DP, FOULS_DP, SCORE_DP = 26.0, 22.0, 40.0
HALF_HEADING_DP = NAME_DP + FOULS_DP + KEY_DP + GAP_DP


class HalfHeading(Drawn):
    """Name and score, the team fouls as boxes, and the keys under them.

    A long press on the time-outs takes a short one, where the code has these.
    """

    texts: Texts = ObjectProperty(ENGLISH)

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self.fbind("texts", self.redraw)
        self._time_out = TimeOutKey()
        self._moves = Key(text_dp=14)
        self._bench = Key(text_dp=13)

    def arrange(self) -> None:
        """Puts the keys side by side; the time-outs have what is left."""
        sheet: TeamSheet | None = self.model
        if sheet is None:
            self.hold([])
            return
        texts, y = self.texts.book, self.y + dp(GAP_DP / 2)
        self._time_out.label, self._time_out.model = texts.time_outs, sheet.time_outs
        self._time_out.intent = sheet.time_out
        self._time_out.rarer = sheet.short_time_out
        self._moves.label, self._moves.intent = texts.substitution, sheet.substitution
        self._bench.label, self._bench.intent = texts.bench_key, sheet.other_rows
        right = self.right
        for key in (self._bench, self._moves):
            key.stand(Box(right - dp(KEY_DP), y, dp(KEY_DP), dp(KEY_DP)), self.look)
            right = key.x - dp(GAP_DP)
        self._time_out.stand(Box(self.x, y, right - self.x, dp(KEY_DP)), self.look)
        self.hold([self._time_out, self._moves, self._bench])

    def draw(self) -> None:
        """Draws swatch, name, score and team fouls."""
        sheet: TeamSheet | None = self.model
        if sheet is None:
            return
        look = self.look
        row = Box(self.x, self.top - dp(NAME_DP), self.width, dp(NAME_DP))
        swatch = Box(row.x, row.y + dp(3), dp(12), row.height - dp(6))
        draw_swatch(look, sheet.colour, swatch)
        score = Box(row.right - dp(SCORE_DP), row.y, dp(SCORE_DP), row.height)
        write(
            look.margin.ink, str(sheet.score), score, 20, align=Align.RIGHT, bold=True
        )
        left = swatch.right + dp(6)
        name = Box(left, row.y, score.x - left, row.height)
        write(look.margin.ink, sheet.name, name, 15, align=Align.LEFT, bold=True)
        fouls = Box(row.x, row.y - dp(FOULS_DP), row.width, dp(FOULS_DP))
        draw_team_fouls(look, sheet.team_fouls, fouls)
