"""The close-out page, drawn as a table: book, sign, board."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kivy.metrics import dp

from mobile.presenters.strip import Agreement
from mobile.widgets.ink import Align, Box, fill, frame, write, write_lines
from mobile.widgets.page_of_keys import PageOfKeys
from mobile.widgets.swatch import draw_swatch

if TYPE_CHECKING:
    from mobile.presenters.close_out_page import (
        CloseOutPage,
        ClosingTeam,
        ComparedLine,
    )

__all__ = ["CloseOutView"]

LINE_DP, HEAD_DP, GAP_DP = 48.0, 44.0, 20.0
WIDE_DP = 700.0


class CloseOutView(PageOfKeys):
    """Both teams' figures, what does not add up, and the key that closes."""

    def arrange(self) -> None:
        """Puts the key that closes beside the way back."""
        page: CloseOutPage | None = self.model
        self.hold([] if page is None else self.foot(((page.label, page.close),)))

    def draw(self) -> None:
        """Draws the tables, and under them the verdict."""
        page: CloseOutPage | None = self.model
        if page is None:
            return
        self.draw_title(page.title)
        body = self.body
        is_wide = self.width >= dp(WIDE_DP)
        line = dp(LINE_DP) if is_wide else min(dp(34), body.height * 0.6 / 10)
        height = dp(HEAD_DP) + line * len(page.teams[0].lines)
        if is_wide:
            half = (body.width - dp(GAP_DP)) / 2
            places = [
                Box(body.x + n * (half + dp(GAP_DP)), body.top - height, half, height)
                for n in range(2)
            ]
        else:
            places = [
                Box(body.x, body.top - (n + 1) * (height + dp(6)), body.width, height)
                for n in range(2)
            ]
        for team, box in zip(page.teams, places, strict=True):
            self._draw_team(page, team, box, line)
        foot = places[-1].y - dp(10)
        self._draw_verdict(page, Box(body.x, body.y, body.width, foot - body.y))

    def _columns(self, box: Box) -> tuple[Box, Box, Box, Box]:
        """The label's column, and those of book, sign and board."""
        number, sign = box.width * 0.2, box.width * 0.1
        board = Box(box.right - number, box.y, number, box.height)
        middle = Box(board.x - sign, box.y, sign, box.height)
        book = Box(middle.x - number, box.y, number, box.height)
        label = Box(box.x + dp(6), box.y, book.x - box.x - dp(6), box.height)
        return label, book, middle, board

    def _draw_team(
        self, page: CloseOutPage, team: ClosingTeam, box: Box, line: float
    ) -> None:
        look = self.look
        frame(look.line, box, width_dp=1.5)
        head = Box(box.x, box.top - dp(HEAD_DP), box.width, dp(HEAD_DP))
        label, book, _, board = self._columns(head)
        draw_swatch(look, team.colour, Box(label.x, head.y + dp(8), dp(14), dp(28)))
        name = Box(label.x + dp(20), head.y, label.width - dp(20), head.height)
        write(look.page.ink, team.name, name, 20, align=Align.LEFT, bold=True)
        write(look.soft.ink, page.book, book, 14)
        write(look.soft.ink, page.board, board, 14)
        for place, compared in enumerate(team.lines):
            y = head.y - (place + 1) * line
            self._draw_line(compared, Box(box.x, y, box.width, line))

    def _draw_line(self, compared: ComparedLine, box: Box) -> None:
        look = self.look
        fill(look.rule, Box(box.x, box.top, box.width, max(1.0, dp(1))))
        label, book, sign, board = self._columns(box)
        is_off = compared.state is Agreement.MISMATCH
        pair = look.mismatch if is_off else look.page
        if is_off:
            frame(look.frame, box, width_dp=3)
        write(pair.ink, compared.label, label, 17, align=Align.LEFT)
        write(pair.ink, compared.book, book, 24, bold=True)
        if compared.board:
            write(pair.ink, compared.state.value, sign, 24)
            write(pair.ink, compared.board, board, 24, bold=True)

    def _draw_verdict(self, page: CloseOutPage, box: Box) -> None:
        look = self.look
        pair = look.mismatch if page.problems else look.page
        head = Box(box.x, box.top - dp(28), box.width, dp(28))
        sign = Agreement.MISMATCH if page.problems else Agreement.AGREED
        words = f"{sign.value}  {page.verdict}"
        write(pair.ink, words, head, 18, align=Align.LEFT, bold=True)
        text = "\n".join(page.problems)
        if text:
            below = Box(box.x, box.y, box.width, head.y - box.y)
            write_lines(look.page.ink, text, below, 18)
