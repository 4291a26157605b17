"""Typing words for the record; the ball is not live then."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kivy.metrics import dp
from kivy.uix.textinput import TextInput

from mobile.presenters.intents import GiveWords, TypeWords
from mobile.widgets.page_of_keys import PageOfKeys

if TYPE_CHECKING:
    from mobile.presenters.leaves import WordsPage

__all__ = ["WordsView"]

FIELD_DP = 120.0


class WordsView(PageOfKeys):
    """A field for the words, and the key that puts them on record."""

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self._field = TextInput(multiline=True)
        self._field.fbind("text", self._typed)

    def arrange(self) -> None:
        """Puts the field under the title."""
        page: WordsPage | None = self.model
        if page is None:
            self.hold([])
            return
        body, look = self.body, self.look
        field = self._field
        if field.text != page.words:
            field.text = page.words
        field.pos = (body.x, body.top - dp(FIELD_DP))
        field.size = (body.width, dp(FIELD_DP))
        field.font_size = dp(20)
        field.background_normal = field.background_active = ""
        field.background_color = look.bench.ground.rgba
        field.foreground_color = look.page.ink.rgba
        field.cursor_color = look.page.ink.rgba
        done = GiveWords() if page.words.strip() else None
        self.hold([field, *self.foot(((page.done, done),))])

    def make_ready(self) -> None:
        """Lets the keyboard type into the field."""
        self._field.focus = True

    def _typed(self, _field: object, text: str) -> None:
        if self.model is not None and text != self.model.words:
            self.dispatch("on_touched", TypeWords(text))

    def draw(self) -> None:
        """Draws the title."""
        page: WordsPage | None = self.model
        if page is not None:
            self.draw_title(page.title)
