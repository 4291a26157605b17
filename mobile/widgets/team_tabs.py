"""Both teams as tabs, where only one page fits: colour, name, score."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kivy.metrics import dp
from kivy.properties import ObjectProperty

from mobile.presenters.intents import ShowTeam
from mobile.widgets.drawn import Drawn
from mobile.widgets.ink import Align, Box, write
from mobile.widgets.key import Key
from mobile.widgets.swatch import draw_swatch

if TYPE_CHECKING:
    from mobile.presenters.team_sheet import TeamSheet
    from mobile.theme import Colour
    from tablesync.core.acts import Side

__all__ = ["TeamTabs"]

GAP_DP = 8.0


class TeamTabs(Drawn):
    """Two tabs; the one of the page that is shown is filled."""

    team: Side | None = ObjectProperty(None, allownone=True)

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self.fbind("team", self.redraw)
        self._tabs = (TabKey(), TabKey())

    def arrange(self) -> None:
        """Puts the tabs side by side."""
        sheets: tuple[TeamSheet, TeamSheet] | None = self.model
        if sheets is None:
            self.hold([])
            return
        half = (self.width - dp(GAP_DP)) / 2
        for place, (tab, sheet) in enumerate(zip(self._tabs, sheets, strict=True)):
            tab.model, tab.intent = sheet, ShowTeam(sheet.side)
            tab.filled = sheet.side is self.team
            x = self.x + place * (half + dp(GAP_DP))
            tab.stand(Box(x, self.y, half, self.height), self.look)
        self.hold(self._tabs)

    def draw(self) -> None:
        """Draws the ground."""


class TabKey(Key):
    """One team's tab."""

    def draw_face(self, ink: Colour, face: Box) -> None:
        """Draws swatch, name and score."""
        sheet: TeamSheet | None = self.model
        if sheet is None:
            return
        swatch = Box(face.x + dp(2), face.y + dp(4), dp(12), face.height - dp(8))
        draw_swatch(self.look, sheet.colour, swatch)
        score = Box(face.right - dp(42), face.y, dp(40), face.height)
        write(ink, str(sheet.score), score, 20, align=Align.RIGHT, bold=True)
        left = swatch.right + dp(8)
        name = Box(left, face.y, score.x - left, face.height)
        write(ink, sheet.name, name, 15, align=Align.LEFT, bold=True)
