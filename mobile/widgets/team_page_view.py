"""One team's page: heading, rows, running score; or a substitution being picked."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from kivy.metrics import dp
from kivy.properties import BooleanProperty, ObjectProperty

from mobile.presenters.intents import Rows
from mobile.texts.english import ENGLISH
from mobile.widgets.drawn import Drawn
from mobile.widgets.ink import Box, fill
from mobile.widgets.key import Key
from mobile.widgets.moves_view import MovesView
from mobile.widgets.player_row_view import ROOMY_FROM_DP, PlayerRowView
from mobile.widgets.running_view import RunningView
from mobile.widgets.team_heading import TeamHeading

if TYPE_CHECKING:
    from mobile.presenters.player_rows import PlayerRow
    from mobile.presenters.team_sheet import TeamSheet
    from mobile.texts.shape import Texts

__all__ = ["TeamPageView"]

HEADING_DP, TIGHT_HEADING_DP, FOOT_DP = 60.0, 84.0, 52.0
PITCH_DP, MOST_SLIM_DP, LEAST_SLIM_DP = 56.0, 40.0, 15.0
BENCH_DP, GAP_DP, KEY_DP, EDGE_DP = 92.0, 8.0, 48.0, 2.0


class TeamPageView(Drawn):
    """The page. The running score is given apart, as it is not the team's alone."""

    texts: Texts = ObjectProperty(ENGLISH)
    running = ObjectProperty(None, allownone=True)
    narrow: bool = BooleanProperty(False)

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        for name in ("texts", "running", "narrow"):
            self.fbind(name, self.redraw)
        self._heading = TeamHeading()
        self._moves = MovesView()
        self._running = RunningView()
        self._rows: defaultdict[str, PlayerRowView] = defaultdict(PlayerRowView)
        self._bench = Key(text_dp=14)

    def arrange(self) -> None:
        """Puts the parts under each other."""
        sheet: TeamSheet | None = self.model
        if sheet is None:
            self.hold([])
            return
        width = self.width - dp(EDGE_DP)
        is_tight = not self.narrow and width < dp(ROOMY_FROM_DP)
        height = dp(TIGHT_HEADING_DP if is_tight else HEADING_DP)
        heading = Box(self.x, self.top - height, width, height)
        self._put(self._heading, heading)
        self._heading.model, self._heading.narrow = sheet, self.narrow
        below = Box(self.x, self.y, width, heading.y - self.y)
        if sheet.moves is not None:
            self._moves.model = sheet.moves
            self._put(self._moves, below)
            self.hold([self._heading, self._moves])
            return
        if self.narrow:
            self.hold([self._heading, *self._arrange_rows(sheet, below)])
            return
        foot = Box(self.x, self.y, width, dp(FOOT_DP))
        rows = self._arrange_rows(
            sheet, Box(self.x, foot.top, width, heading.y - foot.top)
        )
        self._arrange_foot(sheet, foot)
        self.hold([self._heading, *rows, self._running, self._bench])

    def _arrange_foot(self, sheet: TeamSheet, foot: Box) -> None:
        bench = Box(
            foot.right - dp(BENCH_DP + GAP_DP / 2),
            foot.y + dp(2),
            dp(BENCH_DP),
            dp(KEY_DP),
        )
        texts = self.texts.book
        is_court = sheet.showing is Rows.COURT
        self._bench.label = texts.show_bench if is_court else texts.show_court
        self._bench.intent = sheet.other_rows
        self._bench.stand(bench, self.look)
        self._running.model = self.running
        width = bench.x - dp(GAP_DP / 2) - foot.x
        self._put(self._running, Box(foot.x, foot.y, width, foot.height))

    def _arrange_rows(self, sheet: TeamSheet, box: Box) -> list[PlayerRowView]:
        shown = self._shown(sheet, box.height)
        with_keys = sum(row.keys is not None for row in shown)
        pitch = min(dp(PITCH_DP), box.height / max(1, with_keys))
        left = box.height - with_keys * pitch
        slim = min(dp(MOST_SLIM_DP), left / max(1, len(shown) - with_keys))
        views, top = [], box.top
        for row in shown:
            height = slim if row.keys is None else pitch
            view = self._rows[row.number]
            view.model, view.narrow = row, self.narrow
            self._put(view, Box(box.x, round(top - height), box.width, round(height)))
            views.append(view)
            top -= height
        return views

    def _shown(self, sheet: TeamSheet, height: float) -> list[PlayerRow]:
        """All rows where they can be read, else only those with keys."""
        with_keys = [row for row in sheet.rows if row.keys is not None]
        others = len(sheet.rows) - len(with_keys)
        left = height - dp(PITCH_DP) * len(with_keys)
        is_room = left >= dp(LEAST_SLIM_DP) * others
        return list(sheet.rows) if is_room else with_keys

    def _put(self, view: Drawn, box: Box) -> None:
        if hasattr(view, "texts"):
            view.texts = self.texts
        view.stand(box, self.look)

    def draw(self) -> None:
        """Draws the page's ground and its edge."""
        edge = dp(EDGE_DP)
        fill(self.look.line, Box(self.right - edge, self.y, edge, self.height))
