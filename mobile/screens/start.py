"""The cover: a few choices as keys, one field for the relay's address."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kivy.metrics import dp
from kivy.properties import ObjectProperty
from kivy.uix.textinput import TextInput

from mobile.presenters.start_page import UseRelay
from mobile.texts.english import ENGLISH
from mobile.widgets.drawn import Drawn
from mobile.widgets.ink import Align, Box, write, write_lines
from mobile.widgets.key import Key

if TYPE_CHECKING:
    from mobile.presenters.start_page import StartKey, StartPage
    from mobile.texts.shape import Texts

__all__ = ["StartScreen"]

MARGIN_DP, GAP_DP, TITLE_DP, HEAD_DP = 20.0, 8.0, 64.0, 34.0
KEY_DP, FIELD_DP, MOST_WIDE_DP, LEAST_KEY_DP = 64.0, 48.0, 720.0, 50.0


class StartScreen(Drawn):
    """The cover; on a large screen in the middle of it."""

    texts: Texts = ObjectProperty(ENGLISH)

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self._keys: dict[str, Key] = {}
        self._heads: list[tuple[str, Box]] = []
        self._field = TextInput(multiline=False)
        self._field.bind(text=self._typed)

    def _typed(self, _field: object, address: str) -> None:
        page: StartPage | None = self.model
        if page is not None and address != page.relay:
            self.dispatch("on_touched", UseRelay(address))

    def arrange(self) -> None:
        """Puts the questions under each other, each with its keys."""
        page: StartPage | None = self.model
        if page is None:
            self.hold([])
            return
        width = min(self.width - dp(2 * MARGIN_DP), dp(MOST_WIDE_DP))
        x = self.x + (self.width - width) / 2
        top = self.top - dp(TITLE_DP)
        height = self._key_height(page)
        self._heads = []
        shown: list[Key] = []
        for head, keys, columns in (
            (page.seats_title, page.seats, 2),
            (page.games_title, page.games, 1),
            (page.relay_title, page.relays, 1),
        ):
            self._heads.append((head, Box(x, top - dp(HEAD_DP), width, dp(HEAD_DP))))
            top -= dp(HEAD_DP)
            if keys is page.games and page.no_games:
                top -= height
            if keys is page.relays:
                self._place_field(page, Box(x, top - dp(FIELD_DP), width, dp(FIELD_DP)))
                top -= dp(FIELD_DP + GAP_DP)
            for place, key in enumerate(keys):
                row, column = divmod(place, columns)
                one = (width + dp(GAP_DP)) / columns - dp(GAP_DP)
                y = top - (row + 1) * (height + dp(GAP_DP)) + dp(GAP_DP)
                left = x + column * (one + dp(GAP_DP))
                shown.append(self._show(key, Box(left, y, one, height)))
            top -= -(-len(keys) // columns) * (height + dp(GAP_DP))
        foot = Box(x, self.y + dp(MARGIN_DP / 2), width, dp(KEY_DP))
        begin = self._show(page.begin, foot)
        begin.filled = page.begin.chosen
        self.hold([*shown, self._field, begin])

    def _key_height(self, page: StartPage) -> float:
        """As high as all of them fit, but never too low for a finger."""
        rows = 1 + max(1, len(page.games)) + len(page.relays)
        fixed = TITLE_DP + 3 * HEAD_DP + FIELD_DP + KEY_DP + 2 * MARGIN_DP
        room = self.height - dp(fixed + rows * GAP_DP)
        return float(min(dp(KEY_DP), max(dp(LEAST_KEY_DP), room / rows)))

    def _show(self, shown: StartKey, box: Box) -> Key:
        key = self._keys.setdefault(f"{shown.label}/{shown.intent}", Key())
        key.label, key.caption = shown.label, shown.caption
        key.intent, key.filled = shown.intent, shown.chosen
        return key.stand(box, self.look)

    def _place_field(self, page: StartPage, box: Box) -> None:
        field, look = self._field, self.look
        field.pos, field.size = (box.x, box.y), (box.width, box.height)
        field.font_size = dp(18)
        field.background_normal = field.background_active = ""
        field.background_color = look.bench.ground.rgba
        field.foreground_color = look.page.ink.rgba
        field.cursor_color = look.page.ink.rgba
        field.hint_text = "ws://192.168.1.20:8642"
        field.hint_text_color = look.bench.ink.rgba
        if field.text != page.relay:
            field.text = page.relay

    def draw(self) -> None:
        """Draws the title and the questions."""
        page: StartPage | None = self.model
        if page is None:
            return
        look = self.look
        width = min(self.width - dp(2 * MARGIN_DP), dp(MOST_WIDE_DP))
        x = self.x + (self.width - width) / 2
        title = Box(x, self.top - dp(TITLE_DP), width, dp(TITLE_DP))
        write(look.margin.ink, page.title, title, 28, align=Align.LEFT, bold=True)
        for head, box in self._heads:
            write(look.margin_soft.ink, head, box, 16, align=Align.LEFT)
        if page.no_games:
            _, games = self._heads[1]
            below = Box(games.x, games.y - dp(KEY_DP), games.width, dp(KEY_DP))
            write_lines(look.margin.ink, page.no_games, below, 16)
