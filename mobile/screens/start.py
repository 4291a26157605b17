"""The cover: a few choices as keys, one field for the relay's address."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING, NamedTuple

from kivy.metrics import dp
from kivy.properties import ObjectProperty
from kivy.uix.textinput import TextInput

from mobile.presenters.start_page import TypeCode, UseRelay
from mobile.texts.english import ENGLISH
from mobile.widgets.drawn import Drawn
from mobile.widgets.ink import Align, Box, frame, write, write_lines
from mobile.widgets.key import Key

if TYPE_CHECKING:
    from collections.abc import Sequence

    from kivy.uix.widget import Widget

    from mobile.presenters.start_page import StartKey, StartPage
    from mobile.texts.shape import Texts

__all__ = ["StartScreen"]

MARGIN_DP, GAP_DP, MOST_WIDE_DP = 20.0, 8.0, 720.0
KEY_DP, LEAST_KEY_DP, FIELD_DP = 64.0, 48.0, 48.0
TROUBLE_DP, TEXT_DP = 40.0, 18.0
HIGH_FROM_DP = 700.0
HINT, CODE_HINT = "ws://192.168.1.20:8642", "3-481-926"


class _Hook(NamedTuple):
    """Where the next row hangs from, and how wide and high a row is."""

    x: float
    top: float
    width: float
    height: float

    def below(self, by: float) -> _Hook:
        """The same so much further down."""
        return self._replace(top=self.top - by)

    def box(self, height: float) -> Box:
        """The box of this height that hangs here."""
        return Box(self.x, self.top - height, self.width, height)


class _Heights(NamedTuple):
    """How high the parts are that are not choices."""

    title_dp: float
    head_dp: float
    foot_dp: float


HIGH, LOW = _Heights(56.0, 32.0, KEY_DP), _Heights(44.0, 26.0, 52.0)


class StartScreen(Drawn):
    """The cover; on a large screen in the middle of it."""

    texts: Texts = ObjectProperty(ENGLISH)

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self._keys: defaultdict[str, Key] = defaultdict(Key)
        self._heads: list[tuple[str, Box]] = []
        self._passages: list[tuple[str, _Hook]] = []
        self._field = TextInput(multiline=False)
        self._field.bind(text=self._typed)
        self._code = TextInput(multiline=False, input_type="tel")
        self._code.bind(text=self._code_typed)

    @property
    def _heights(self) -> _Heights:
        return HIGH if self.height >= dp(HIGH_FROM_DP) else LOW

    def _typed(self, _field: object, address: str) -> None:
        page: StartPage | None = self.model
        if page is not None and address.strip() != page.relay:
            self.dispatch("on_touched", UseRelay(address))

    def _code_typed(self, _field: object, code: str) -> None:
        page: StartPage | None = self.model
        if page is not None and code.strip() != page.code:
            self.dispatch("on_touched", TypeCode(code))

    def arrange(self) -> None:
        """Puts the questions under each other, each with its keys."""
        page: StartPage | None = self.model
        if page is None:
            self.hold([])
            return
        self._heads, self._passages = [], []
        width = min(self.width - dp(2 * MARGIN_DP), dp(MOST_WIDE_DP))
        height = self._key_height(page)
        place = _Hook(self.x + (self.width - width) / 2, self.top, width, height)
        place = place.below(dp(self._heights.title_dp))
        place = self._head(page.seats_title, place)
        seats, place = self._row(page.seats, place)
        place = self._head(page.games_title, place)
        shown = [*seats]
        if page.no_games:
            self._passages.append((page.no_games, place))
            place = place.below(height + dp(GAP_DP))
        more = () if page.more_games is None else (page.more_games,)
        for key in (*page.games, *more):
            keys, place = self._row((key,), place)
            shown += keys
        if page.trouble:
            self._passages.append((page.trouble, place))
            place = place.below(dp(TROUBLE_DP))
        place = self._head(page.relay_title, place)
        self._place_field(self._field, place.box(dp(FIELD_DP)), HINT)
        if self._field.text.strip() != page.relay:
            self._field.text = page.relay
        place = place.below(dp(FIELD_DP + GAP_DP))
        fields: list[Widget] = [self._field]
        if page.give_code is not None:
            fields += self._code_row(page, page.give_code, place)
            place = place.below(dp(FIELD_DP + GAP_DP))
        foot = Box(
            place.x, self.y + dp(MARGIN_DP / 2), width, dp(self._heights.foot_dp)
        )
        # The one that is named stands in the field; without it the others are here.
        is_room = place.top - place.height >= foot.top
        relays, _ = self._row(page.relays if is_room else (), place)
        self.hold([*shown, *relays, *fields, self._show(page.begin, foot)])

    def _key_height(self, page: StartPage) -> float:
        """As high as all of them fit, but never too low for a finger."""
        rows = 1 + max(1, len(page.games)) + bool(page.more_games) + bool(page.relays)
        title_dp, head_dp, foot_dp = self._heights
        fixed = title_dp + 3 * head_dp + FIELD_DP + GAP_DP + foot_dp + MARGIN_DP
        fixed += TROUBLE_DP if page.trouble else 0
        fixed += FIELD_DP + GAP_DP if page.give_code is not None else 0
        room = self.height - dp(fixed + rows * GAP_DP)
        return float(min(dp(KEY_DP), max(dp(LEAST_KEY_DP), room / rows)))

    def _head(self, words: str, place: _Hook) -> _Hook:
        self._heads.append((words, place.box(dp(self._heights.head_dp))))
        return place.below(dp(self._heights.head_dp))

    def _row(self, shown: Sequence[StartKey], place: _Hook) -> tuple[list[Key], _Hook]:
        """Keys beside each other, and the place below them."""
        if not shown:
            return [], place
        row = place.box(place.height)
        width = (row.width + dp(GAP_DP)) / len(shown)
        keys = [
            self._show(
                key,
                Box(row.x + column * width, row.y, width - dp(GAP_DP), row.height),
            )
            for column, key in enumerate(shown)
        ]
        return keys, place.below(place.height + dp(GAP_DP))

    def _show(self, shown: StartKey, box: Box) -> Key:
        key = self._keys[f"{shown.label}/{shown.intent}"]
        key.label, key.caption = shown.label, shown.caption
        key.intent, key.filled = shown.intent, shown.chosen
        return key.stand(box, self.look)

    def _code_row(
        self, page: StartPage, shown: StartKey, place: _Hook
    ) -> tuple[Widget, Widget]:
        """The field for the code, and the key that gives it."""
        row = place.box(dp(FIELD_DP))
        half = (row.width - dp(GAP_DP)) / 2
        left = Box(row.x, row.y, half, row.height)
        self._place_field(self._code, left, CODE_HINT)
        if self._code.text.strip() != page.code:
            self._code.text = page.code
        right = Box(row.right - half, row.y, half, row.height)
        return self._code, self._show(shown, right)

    def _place_field(self, field: TextInput, box: Box, hint: str) -> None:
        look = self.look
        field.pos, field.size = (box.x, box.y), (box.width, box.height)
        field.font_size = dp(TEXT_DP)
        field.padding = [dp(12), (box.height - field.line_height) / 2]
        field.background_normal = field.background_active = ""
        field.background_color = look.key.ground.rgba
        field.foreground_color = look.key.ink.rgba
        field.cursor_color = look.key.ink.rgba
        field.hint_text = hint
        field.hint_text_color = look.key_off.ink.rgba

    def draw(self) -> None:
        """Draws the title and the questions."""
        page: StartPage | None = self.model
        if page is None:
            return
        look, field = self.look, self._field
        title = Box(
            field.x,
            self.top - dp(self._heights.title_dp),
            field.width,
            dp(self._heights.title_dp),
        )
        write(look.margin.ink, page.title, title, 28, align=Align.LEFT, bold=True)
        for head, box in self._heads:
            write(look.margin_soft.ink, head, box, 16, align=Align.LEFT)
        for words, place in self._passages:
            write_lines(look.margin.ink, words, place.box(place.height), 16)
        fields = [self._field] if page.give_code is None else [self._field, self._code]
        for one in fields:
            edge = Box(one.x, one.y, one.width, one.height)
            frame(look.rule, edge.inset(-dp(2)))
