"""Both teams' players on court side by side, on a screen for one page."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from kivy.metrics import dp
from kivy.properties import ObjectProperty

from mobile.texts.english import ENGLISH
from mobile.widgets.drawn import Drawn
from mobile.widgets.half_heading import HALF_HEADING_DP, HalfHeading
from mobile.widgets.half_row_view import HalfRowView
from mobile.widgets.ink import Box

if TYPE_CHECKING:
    from mobile.presenters.team_sheet import TeamSheet
    from mobile.texts.shape import Texts

__all__ = ["FacingView"]

PITCH_DP, GAP_DP, EDGE_DP = 56.0, 8.0, 4.0


class FacingView(Drawn):
    """The left bench's team on the left, and so on: nobody has to turn the page."""

    texts: Texts = ObjectProperty(ENGLISH)

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self.fbind("texts", self.redraw)
        self._headings = (HalfHeading(), HalfHeading())
        self._rows: tuple[defaultdict[str, HalfRowView], ...] = (
            defaultdict(HalfRowView),
            defaultdict(HalfRowView),
        )

    def arrange(self) -> None:
        """Puts a heading and the rows of those on court on either side."""
        sheets: tuple[TeamSheet, TeamSheet] | None = self.model
        if sheets is None:
            self.hold([])
            return
        width = (self.width - dp(GAP_DP + 2 * EDGE_DP)) / 2
        held: list[Drawn] = []
        for place, sheet in enumerate(sheets):
            x = self.x + dp(EDGE_DP) + place * (width + dp(GAP_DP))
            heading, height = self._headings[place], dp(HALF_HEADING_DP)
            top = Box(x, self.top - height, width, height)
            heading.model, heading.texts = sheet, self.texts
            heading.stand(top, self.look)
            below = Box(x, self.y, width, top.y - self.y)
            held += [heading, *self._arrange_rows(place, sheet, below)]
        self.hold(held)

    def _arrange_rows(self, place: int, sheet: TeamSheet, box: Box) -> list[Drawn]:
        shown = [row for row in sheet.rows if row.keys is not None]
        pitch = min(dp(PITCH_DP), box.height / max(1, len(shown)))
        views: list[Drawn] = []
        for count, row in enumerate(shown, 1):
            view = self._rows[place][row.number]
            view.model = row
            y = round(box.top - count * pitch)
            view.stand(Box(box.x, y, box.width, round(pitch)), self.look)
            views.append(view)
        return views
