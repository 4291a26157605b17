"""The director's screen: every court, or one of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kivy.metrics import dp
from kivy.properties import ObjectProperty, StringProperty

from mobile.texts.english import ENGLISH
from mobile.widgets.court_list import CourtList
from mobile.widgets.court_page_view import CourtPageView
from mobile.widgets.drawn import Drawn
from mobile.widgets.ink import Align, Box, fill, write

if TYPE_CHECKING:
    from mobile.presenters.court_page import CourtPage
    from mobile.texts.shape import Texts

__all__ = ["DirectorScreen"]

HEAD_DP = 48.0


class DirectorScreen(Drawn):
    """The list of all cards is the model; a page given takes its place."""

    texts: Texts = ObjectProperty(ENGLISH)
    page: CourtPage | None = ObjectProperty(None, allownone=True)
    head = StringProperty("")

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        for name in ("texts", "page", "head"):
            self.fbind(name, self.redraw)
        self.courts = CourtList()
        self.courts.fbind("held", self.redraw)
        self._page = CourtPageView()

    def arrange(self) -> None:
        """Shows the list or the page."""
        if self.page is not None:
            self._page.look, self._page.texts = self.look, self.texts
            self._page.model = self.page
            self._page.pos, self._page.size = self.pos, self.size
            self.hold([self._page])
            return
        self.courts.look = self.look
        if not self.courts.held:
            self.courts.model = self.model
        self.courts.pos = self.pos
        self.courts.size = (self.width, self.height - dp(HEAD_DP))
        self.hold([self.courts])

    def draw(self) -> None:
        """Draws the head; what scrolls under it is covered."""
        if self.page is None:
            box = Box(self.x + dp(12), self.top - dp(HEAD_DP), self.width, dp(HEAD_DP))
            write(self.look.margin.ink, self.head, box, 18, align=Align.LEFT, bold=True)
            fill(self.look.line, Box(self.x, box.y, self.width, dp(2)))
