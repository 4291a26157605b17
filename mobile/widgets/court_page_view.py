"""One court of the director: both tallies, and the findings in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kivy.metrics import dp

from mobile.presenters.strip import Agreement
from mobile.widgets.ink import Align, Box, fill, frame, hatch, write, write_lines
from mobile.widgets.page_of_keys import PageOfKeys

if TYPE_CHECKING:
    from mobile.presenters.court_page import Compared, CourtPage

__all__ = ["CourtPageView"]

LINE_DP, WIDE_DP, GAP_DP = 40.0, 760.0, 24.0
MOST_ASKS = 2
"""As many keys have room beside the way back; others follow when these are let in."""


class CourtPageView(PageOfKeys):
    """The page; a director changes nothing, but may let in a device that waits."""

    def arrange(self) -> None:
        """Puts the way back at the foot, and a key for each device that waits."""
        page: CourtPage | None = self.model
        asks = () if page is None else page.asks[:MOST_ASKS]
        keys = self.foot([(ask.label, ask.intent) for ask in asks])
        keys[0].label = self.texts.director.back
        self.hold(keys if self.model is not None else [])

    def draw(self) -> None:
        """Draws the table and the findings, side by side where there is room."""
        page: CourtPage | None = self.model
        if page is None:
            return
        self.draw_title(page.title)
        body = self.body
        is_wide = self.width >= dp(WIDE_DP)
        width = (body.width - dp(GAP_DP)) / 2 if is_wide else body.width
        line = min(dp(LINE_DP), body.height * (0.9 if is_wide else 0.55) / 9)
        height = line * (len(page.lines) + 1)
        table = Box(body.x, body.top - height, width, height)
        self._draw_table(page, table, line)
        if is_wide:
            words = Box(table.right + dp(GAP_DP), body.y, width, body.height)
        else:
            words = Box(body.x, body.y, width, table.y - body.y - dp(8))
        self._draw_findings(page, words)

    def _draw_table(self, page: CourtPage, table: Box, line: float) -> None:
        look = self.look
        head = Box(table.x, table.top - line, table.width, line)
        _, book, _, board = _columns(head)
        write(look.soft.ink, page.book, book, 14)
        write(look.soft.ink, page.board, board, 14)
        for place, compared in enumerate(page.lines):
            row = Box(table.x, head.y - (place + 1) * line, table.width, line)
            self._draw_line(compared, row)

    def _draw_line(self, compared: Compared, row: Box) -> None:
        look = self.look
        pair = look.page
        match compared.agreement:
            case Agreement.MISMATCH:
                pair = look.mismatch
                frame(look.frame, row, width_dp=3)
            case Agreement.SETTLING:
                pair = look.settling
                hatch(pair.ground, row)
            case Agreement.AGREED | Agreement.UNHEARD:
                fill(look.rule, Box(row.x, row.y, row.width, max(1.0, dp(1))))
        label, book, sign, board = _columns(row)
        write(pair.ink, compared.label, label, 15, align=Align.LEFT)
        write(pair.ink, compared.book, book, 18, bold=True)
        write(pair.ink, compared.agreement.value, sign, 18)
        write(pair.ink, compared.board, board, 18, bold=True)

    def _draw_findings(self, page: CourtPage, box: Box) -> None:
        look = self.look
        links = Box(box.x, box.top - dp(26), box.width, dp(26))
        write(look.soft.ink, page.links, links, 15, align=Align.LEFT)
        last = Box(box.x, links.y - dp(26), box.width, dp(26))
        write(look.soft.ink, page.last, last, 15, align=Align.LEFT)
        top = last.y - dp(6)
        for ask in page.asks[:MOST_ASKS]:
            asked = Box(box.x, box.y, box.width, top - box.y)
            height = write_lines(look.page.ink, f"?  {ask.words}", asked, 16, bold=True)
            top -= height + dp(6)
        below = Box(box.x, box.y, box.width, top - box.y)
        if page.findings:
            text = "\n\n".join(f"≠  {finding}" for finding in page.findings)
            write_lines(look.mismatch.ink, text, below, 17)
        else:
            write_lines(look.page.ink, f"=  {page.none_open}", below, 17)


def _columns(row: Box) -> tuple[Box, Box, Box, Box]:
    """The label's column, and those of book, sign and board."""
    number, sign = row.width * 0.17, row.width * 0.1
    board = Box(row.right - number, row.y, number, row.height)
    middle = Box(board.x - sign, row.y, sign, row.height)
    book = Box(middle.x - number, row.y, number, row.height)
    label = Box(row.x + dp(6), row.y, book.x - row.x - dp(6), row.height)
    return label, book, middle, board
