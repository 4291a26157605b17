"""The sign-off page: the result by periods, and the signatures."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kivy.metrics import dp

from mobile.widgets.ink import Align, Box, fill, frame, write, write_lines
from mobile.widgets.key import Key
from mobile.widgets.page_of_keys import PageOfKeys
from mobile.widgets.swatch import draw_swatch

if TYPE_CHECKING:
    from mobile.presenters.sign_off_page import FinalTeam, SignLine, SignOffPage

__all__ = ["SignOffView"]

TEAM_DP, HEAD_DP, LINE_DP, KEY_DP, GAP_DP = 40.0, 24.0, 56.0, 48.0, 8.0
SIGN_SHARE = 0.42


class SignOffView(PageOfKeys):
    """The page; each line that can be signed here has its key."""

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self._signs = [Key(text_dp=15) for _ in range(3)]

    def arrange(self) -> None:
        """Puts a key on each line that is to be signed here."""
        page: SignOffPage | None = self.model
        if page is None:
            self.hold([])
            return
        shown = []
        for place, line in enumerate(page.lines):
            if not line.label:
                continue
            key, box = self._signs[place], self._line(place)
            key.label, key.intent = line.label, line.sign
            width = box.width * SIGN_SHARE
            y = box.y + dp(GAP_DP / 2)
            key.stand(Box(box.right - width, y, width, dp(KEY_DP)), self.look)
            shown.append(key)
        self.hold([*shown, *self.foot(page.protest_keys)])

    def _table(self) -> Box:
        body = self.body
        height = dp(HEAD_DP + 2 * TEAM_DP)
        return Box(body.x, body.top - height, body.width, height)

    def _line(self, place: int) -> Box:
        table = self._table()
        y = table.y - dp(34) - (place + 1) * dp(LINE_DP)
        return Box(table.x, y, table.width, dp(LINE_DP))

    def draw(self) -> None:
        """Draws the result, what is open, and the lines of the signatures."""
        page: SignOffPage | None = self.model
        if page is None:
            return
        self.draw_title(page.title)
        look, table = self.look, self._table()
        head = Box(table.x, table.top - dp(HEAD_DP), table.width, dp(HEAD_DP))
        for place, title in enumerate(page.periods):
            write(look.soft.ink, title, self._column(head, place, page), 13)
        for place, team in enumerate(page.teams):
            y = head.y - (place + 1) * dp(TEAM_DP)
            self._draw_team(page, team, Box(table.x, y, table.width, dp(TEAM_DP)))
        words = Box(table.x, table.y - dp(32), table.width, dp(28))
        pair = look.mismatch if page.is_open else look.page
        sign = "≠" if page.is_open else "="
        text = f"{sign}  {page.open_words}"
        write(pair.ink, text, words, 15, align=Align.LEFT, bold=page.is_open)
        for place, line in enumerate(page.lines):
            self._draw_line(line, self._line(place))
        below = self._line(len(page.lines) - 1).y - dp(6)
        body = self.body
        said = "\n".join((*page.protests, page.closed)).strip()
        if said:
            text_box = Box(body.x, body.y, body.width, max(0.0, below - body.y))
            write_lines(look.page.ink, said, text_box, 15, bold=True)

    def _column(self, row: Box, place: int, page: SignOffPage) -> Box:
        """The box of a period in a row; the score has the last one."""
        total = row.width * 0.16
        room = row.width * 0.46
        width = min(dp(56), room / len(page.periods))
        x = row.right - total - (len(page.periods) - place) * width
        return Box(x, row.y, width, row.height)

    def _draw_team(self, page: SignOffPage, team: FinalTeam, row: Box) -> None:
        look = self.look
        fill(look.rule, Box(row.x, row.top, row.width, max(1.0, dp(1))))
        draw_swatch(look, team.colour, Box(row.x, row.y + dp(6), dp(12), dp(28)))
        first = self._column(row, 0, page)
        name = Box(row.x + dp(20), row.y, first.x - row.x - dp(24), row.height)
        write(look.page.ink, team.name, name, 18, align=Align.LEFT, bold=True)
        for place, points in enumerate(team.periods):
            write(look.page.ink, str(points), self._column(row, place, page), 16)
        total = row.width * 0.16
        score = Box(row.right - total, row.y, total, row.height)
        write(look.page.ink, str(team.score), score, 26, align=Align.RIGHT, bold=True)

    def _draw_line(self, line: SignLine, row: Box) -> None:
        look = self.look
        fill(look.rule, Box(row.x, row.y, row.width, max(1.0, dp(1))))
        right = row.right - (row.width * SIGN_SHARE + dp(GAP_DP) if line.label else 0)
        role = Box(row.x, row.y + row.height * 0.46, right - row.x, row.height * 0.46)
        words = Box(row.x, row.y + dp(4), right - row.x, row.height * 0.42)
        write(look.page.ink, line.role, role, 16, align=Align.LEFT, bold=True)
        write(look.soft.ink, line.words, words, 14, align=Align.LEFT)
        if line.signed:
            mark = Box(row.right - dp(40), row.y + dp(14), dp(28), dp(28))
            frame(look.line, mark, width_dp=1.5)
            write(look.page.ink, "x", mark, 18, bold=True)
