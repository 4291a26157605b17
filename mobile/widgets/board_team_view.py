"""One team on the board: name, score, and its keys."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kivy.metrics import dp
from kivy.properties import BooleanProperty, ObjectProperty

from mobile.texts.english import ENGLISH
from mobile.widgets.board_keys import fit, print_legends, show
from mobile.widgets.drawn import Drawn
from mobile.widgets.ink import Align, Box, rule, write
from mobile.widgets.key import Key
from mobile.widgets.swatch import draw_swatch

if TYPE_CHECKING:
    from mobile.presenters.clock_board import BoardTeam
    from mobile.texts.shape import Texts

__all__ = ["BoardTeamView"]

GAP_DP, KEY_DP, TALL_DP = 8.0, 48.0, 100.0
NAME_DP, SCORE_DP = 40.0, 110.0


class BoardTeamView(Drawn):
    """The team's column."""

    texts: Texts = ObjectProperty(ENGLISH)
    narrow: bool = BooleanProperty(False)

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self.fbind("texts", self.redraw)
        self._points = [Key(text_dp=26) for _ in range(3)]
        self._foul = Key(text_dp=18)
        self._time_outs = [Key(text_dp=18), Key(text_dp=16)]

    def arrange(self) -> None:
        """Puts the keys under the score."""
        team: BoardTeam | None = self.model
        if team is None:
            self.hold([])
            return
        inner = self.box.inset(dp(GAP_DP if self.narrow else 14))
        top = inner.top - dp(NAME_DP if self.narrow else NAME_DP + SCORE_DP)
        rest = top - inner.y - dp(3 * GAP_DP)
        tall = min(dp(TALL_DP), max(dp(KEY_DP), rest / 3))
        points = Box(inner.x, top - dp(GAP_DP) - tall, inner.width, tall)
        fit(self._points, team.points, points, self.look)
        foul = Box(inner.x, points.y - dp(GAP_DP) - tall, inner.width, tall)
        show(self._foul, team.foul).stand(foul, self.look)
        below = Box(inner.x, foul.y - dp(GAP_DP) - tall, inner.width, tall)
        time_outs = self._time_outs[: len(team.time_outs)]
        fit(time_outs, team.time_outs, below, self.look)
        if not self.narrow:
            meant = (*team.points, team.foul, *team.time_outs)
            print_legends((*self._points, self._foul, *time_outs), meant)
        self.hold([*self._points, self._foul, *time_outs])

    def draw(self) -> None:
        """Draws name and score, and what the next foul brings."""
        team: BoardTeam | None = self.model
        look = self.look
        rule(look.rule, (self.right, self.y), (self.right, self.top))
        if team is None:
            return
        inner = self.box.inset(dp(GAP_DP if self.narrow else 14))
        head = Box(inner.x, inner.top - dp(NAME_DP), inner.width, dp(NAME_DP))
        draw_swatch(look, team.colour, Box(head.x, head.y + dp(3), dp(16), dp(34)))
        left = head.x + dp(26)
        score = Box(head.right - dp(64), head.y, dp(64), head.height)
        right = score.x if self.narrow else head.right
        name = Box(left, head.y + dp(14), right - left, dp(26))
        colour = Box(left, head.y, right - left, dp(15))
        write(look.margin.ink, team.name, name, 20, align=Align.LEFT, bold=True)
        write(look.margin_soft.ink, team.words, colour, 13, align=Align.LEFT)
        if self.narrow:
            write(look.margin.ink, str(team.score), score, 34, bold=True)
        else:
            great = Box(inner.x, head.y - dp(SCORE_DP), inner.width, dp(SCORE_DP))
            write(look.margin.ink, str(team.score), great, 104, bold=True)
