"""The head of a team's page: colour, name, coach, team fouls, time-outs, its keys."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kivy.metrics import dp
from kivy.properties import BooleanProperty, ObjectProperty

from mobile.presenters.intents import Rows
from mobile.texts.english import ENGLISH
from mobile.widgets.drawn import Drawn
from mobile.widgets.foul_key import FoulKey
from mobile.widgets.ink import Align, Box, fill, frame, rule, slash, write
from mobile.widgets.key import Key
from mobile.widgets.swatch import draw_swatch

if TYPE_CHECKING:
    from mobile.presenters.team_fouls import FoulBox
    from mobile.presenters.team_sheet import TeamSheet
    from mobile.presenters.time_outs import TimeOutBox
    from mobile.texts.shape import Texts
    from mobile.theme import Theme

__all__ = ["TeamHeading", "TimeOutKey", "draw_team_fouls"]

KEY_DP, GAP_DP = 48.0, 8.0
STAFF_DP, MOVES_DP, SHORT_DP = 58.0, 60.0, 48.0
FOULS_DP, FEW_TIME_OUTS, LEGIBLE_DP = 108.0, 4, 14.0
LEAST_BOX_DP = 17.0
BENCH_DP, NARROW_TIME_OUTS_DP = 56.0, 84.0
NAME_DP, EDGE_DP = 26.0, 6.0


class TeamHeading(Drawn):
    """The heading: in one row, or with the name above the keys where it is high."""

    texts: Texts = ObjectProperty(ENGLISH)
    narrow: bool = BooleanProperty(False)

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self.fbind("texts", self.redraw)
        self._coach = FoulKey()
        self._bench = FoulKey()
        self._time_out = TimeOutKey()
        self._short = Key(text_dp=14)
        self._moves = Key(text_dp=15)
        self._other = Key(text_dp=13)
        self._team_fouls = Box(0, 0, 0, 0)
        self._left_of_keys = 0.0

    def arrange(self) -> None:
        """Puts the keys in their places, from the right."""
        sheet: TeamSheet | None = self.model
        if sheet is None:
            self.hold([])
            return
        self._mean(sheet)
        is_narrow = self.narrow
        parts: list[tuple[Key | None, float]] = [(self._moves, MOVES_DP)]
        if sheet.short_time_out is not None:
            parts.append((self._short, SHORT_DP))
        time_outs = NARROW_TIME_OUTS_DP if is_narrow else _time_outs_dp(sheet)
        parts.append((self._time_out, time_outs))
        if is_narrow:
            used = sum(width + GAP_DP for _, width in parts)
            left_dp = self.width / dp(1) - used - BENCH_DP - 3 * GAP_DP
            parts += [(None, left_dp), (self._other, BENCH_DP)]
        else:
            parts += [
                (None, FOULS_DP),
                (self._bench, STAFF_DP),
                (self._coach, STAFF_DP),
            ]
        right = self.right - dp(GAP_DP)
        for key, width_dp in parts:
            box = Box(right - dp(width_dp), self._keys_y(), dp(width_dp), dp(KEY_DP))
            right = box.x - dp(GAP_DP)
            if key is None:
                self._team_fouls = box
            else:
                key.stand(box, self.look)
        self._left_of_keys = right
        self.hold([key for key, _ in parts if key is not None])

    def _mean(self, sheet: TeamSheet) -> None:
        texts = self.texts.book
        is_court = sheet.showing is Rows.COURT
        self._other.label = texts.bench_key if is_court else texts.show_court
        self._other.intent = sheet.other_rows
        self._moves.label, self._moves.intent = texts.substitution, sheet.substitution
        self._short.label, self._short.intent = texts.short, sheet.short_time_out
        self._time_out.label = texts.time_outs
        self._time_out.model, self._time_out.intent = sheet.time_outs, sheet.time_out
        for key, label, fouls in (
            (self._coach, texts.coach_key, sheet.coach_fouls),
            (self._bench, texts.bench_key, sheet.bench_fouls),
        ):
            key.label, key.model = label, fouls
            key.intent, key.rarer = fouls.usual, fouls.rarer
            key.filled = fouls.chosen

    def _keys_y(self) -> float:
        if self.narrow:
            return float(self.top - dp(KEY_DP + GAP_DP))
        if self._is_high:
            return float(self.y + dp(EDGE_DP))
        return float(self.y + (self.height - dp(KEY_DP)) / 2)

    def draw(self) -> None:
        """Draws the name where there is room, and the team fouls as boxes."""
        sheet: TeamSheet | None = self.model
        look = self.look
        rule(look.line, (self.x, self.y), (self.right, self.y))
        if sheet is None:
            return
        self._draw_team_fouls(sheet)
        if self.narrow:
            return
        if self._is_high:
            self._draw_name_above(sheet)
        else:
            self._draw_name_beside(sheet)

    @property
    def _is_high(self) -> bool:
        """Whether there is a row for the name above the keys."""
        return bool(self.height >= dp(KEY_DP + NAME_DP))

    def _draw_name_above(self, sheet: TeamSheet) -> None:
        look, row = (
            self.look,
            Box(self.x, self.top - dp(NAME_DP), self.width, dp(NAME_DP)),
        )
        draw_swatch(
            look, sheet.colour, Box(row.x + dp(8), row.y + dp(4), dp(12), dp(18))
        )
        left, half = row.x + dp(28), (row.width - dp(36)) / 2
        name = Box(left, row.y, half, row.height)
        coach = Box(left + half, row.y, half, row.height)
        write(look.margin.ink, sheet.name, name, 18, align=Align.LEFT, bold=True)
        write(look.margin_soft.ink, sheet.coach, coach, 12, align=Align.RIGHT)

    def _draw_name_beside(self, sheet: TeamSheet) -> None:
        look, y, height = self.look, self._keys_y(), dp(KEY_DP)
        draw_swatch(look, sheet.colour, Box(self.x + dp(8), y + dp(5), dp(16), dp(38)))
        left = self.x + dp(32)
        width = max(0.0, self._left_of_keys - left)
        name = Box(left, y + height / 2 - dp(2), width, height / 2)
        coach = Box(left, y, width, height / 2 - dp(2))
        write(look.margin.ink, sheet.name, name, 19, align=Align.LEFT, bold=True)
        write(look.margin_soft.ink, sheet.coach, coach, 12, align=Align.LEFT)

    def _draw_team_fouls(self, sheet: TeamSheet) -> None:
        box = self._team_fouls
        words = Box(box.x, box.y + dp(32), box.width, dp(14))
        write(self.look.margin_soft.ink, self.texts.book.team_fouls, words, 12)
        boxes = Box(box.x, box.y + dp(2), box.width, dp(28))
        draw_team_fouls(self.look, sheet.team_fouls, boxes)


class TimeOutKey(Key):
    """The time-outs as boxes; the whole group is the key that takes one."""

    def draw(self) -> None:
        """Draws the key with the boxes in it."""
        super().draw()
        boxes: tuple[TimeOutBox, ...] = self.model or ()
        pair, face = self.pair, self.box.inset(dp(4))
        words = Box(face.x, face.top - dp(16), face.width, dp(16))
        fill(pair.ground, face)
        write(pair.ink, self.label, words, 12)
        width = min(dp(24), face.width / max(1, len(boxes)))
        left = face.x + (face.width - width * len(boxes)) / 2
        for place, box in enumerate(boxes):
            one = Box(left + place * width, face.y, width, dp(22)).inset(dp(1.5))
            frame(pair.ink, one, width_dp=2 if box.too_many else 1)
            if width >= dp(LEGIBLE_DP):
                write(pair.ink, box.label, one, 11)
            if box.struck:
                slash(pair.ink, one)


def _time_outs_dp(sheet: TeamSheet) -> float:
    """Many time-outs have narrower boxes, so that the name keeps its place."""
    count = len(sheet.time_outs)
    return max(84.0, (24.0 if count <= FEW_TIME_OUTS else 17.0) * count + 10.0)


def draw_team_fouls(look: Theme, boxes: tuple[FoulBox, ...], box: Box) -> None:
    """Draws numbered boxes in one row, or in two where one is too narrow."""
    rows = 1 if len(boxes) * dp(LEAST_BOX_DP) <= box.width else 2
    columns = -(-len(boxes) // rows)
    width = min(box.width / columns, dp(26))
    height = box.height / rows
    left = box.x + (box.width - width * columns) / 2
    for place, foul in enumerate(boxes):
        row, column = divmod(place, columns)
        y = box.top - (row + 1) * height
        one = Box(left + column * width, y, width, height).inset(dp(1.5))
        if foul.heavy:
            frame(look.line, one, width_dp=2.5)
        else:
            frame(look.rule, one, width_dp=1)
        pair = look.margin_soft if foul.struck else look.margin
        write(pair.ink, foul.label, one, 12, bold=foul.heavy)
        if foul.struck:
            slash(look.margin.ink, one)
