"""One player's row: number, name, quarter marks, foul boxes, keys, points."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kivy.metrics import dp
from kivy.properties import BooleanProperty

from mobile.widgets.drawn import Drawn
from mobile.widgets.foul_key import FoulKey, draw_foul_boxes
from mobile.widgets.ink import Align, Box, cross, fill, frame, slash, write
from mobile.widgets.key import Key, Sign
from tablesync.core.book_lines import PeriodMark
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from mobile.presenters.player_rows import PeriodBox, PlayerRow
    from mobile.theme import Pair

__all__ = ["ROOMY_FROM_DP", "NumberKey", "PlayerRowView"]

KEY_DP, GAP_DP = 48.0, 8.0
BOX_DP, SMALL_GAP_DP = 24.0, 4.0
SLIM_NUMBER_DP = 52.0
SCORE_KEYS = 4
KEYS_DP = SCORE_KEYS * (KEY_DP + GAP_DP)


@dataclass(frozen=True, slots=True)
class _Columns:
    """How wide the columns of a row are; the number and name have what is left."""

    periods_dp: float
    """The quarter marks; 0 where there is no room for them."""
    fouls_dp: float
    points_dp: float
    name_below: bool
    """The name stands below the number, not beside it."""


ROOMY = _Columns(98.0, 130.0, 36.0, name_below=False)
TIGHT = _Columns(80.0, 70.0, 28.0, name_below=True)
NARROW = _Columns(0.0, 70.0, 0.0, name_below=True)
ROOMY_FROM_DP = 600.0
"""A page as wide as this has names beside the numbers."""


class PlayerRowView(Drawn):
    """A row; with keys where its player is to be entered for, slim where not."""

    narrow: bool = BooleanProperty(False)
    """Where there is no room for quarter marks and points beside the keys."""

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self._number = NumberKey(at_once=True)
        self._fouls = FoulKey()
        self._scores = [
            Key(label="2", text_dp=20),
            Key(label="3", text_dp=20),
            Key(sign=Sign.MADE),
            Key(sign=Sign.MISSED),
        ]

    @property
    def _columns(self) -> _Columns:
        if self.narrow:
            return NARROW
        return ROOMY if self.width >= dp(ROOMY_FROM_DP) else TIGHT

    @property
    def _keys_x(self) -> float:
        return float(self.right - dp(self._columns.points_dp + KEYS_DP))

    @property
    def _fouls_x(self) -> float:
        return self._keys_x - float(dp(GAP_DP + self._columns.fouls_dp))

    @property
    def _periods_x(self) -> float:
        return self._fouls_x - float(dp(GAP_DP + self._columns.periods_dp))

    def arrange(self) -> None:
        """Puts the keys in their places."""
        row: PlayerRow | None = self.model
        if row is None or row.keys is None:
            self.hold([])
            return
        columns = self._columns
        y, height = self.y + (self.height - dp(KEY_DP)) / 2, dp(KEY_DP)
        number = dp(SLIM_NUMBER_DP)
        if columns.name_below:
            right = self._periods_x + dp(SMALL_GAP_DP)
            number = (right if columns.periods_dp else self._fouls_x) - self.x
            number -= dp(GAP_DP)
        self._number.stand(Box(self.x, y, number, height), self.look)
        self._number.model, self._number.intent = row, row.goes
        self._number.label = row.name if columns.name_below else ""
        fouls = Box(self._fouls_x, y, dp(columns.fouls_dp), height)
        self._fouls.stand(fouls, self.look)
        self._fouls.model = row.fouls
        self._fouls.intent, self._fouls.rarer = row.fouls.usual, row.fouls.rarer
        self._fouls.filled = row.fouls.chosen
        keys = self._meant(row)
        pitch = dp(KEYS_DP) / len(keys)
        for place, key in enumerate(keys):
            x = self._keys_x + place * pitch
            key.stand(Box(x, y, pitch - dp(GAP_DP), height), self.look)
        self.hold([self._number, self._fouls, *keys])

    def _meant(self, row: PlayerRow) -> list[Key]:
        """The keys for points."""
        assert row.keys is not None
        meant = (row.keys.two, row.keys.three, row.keys.made, row.keys.missed)
        for key, intent in zip(self._scores, meant, strict=True):
            key.intent = intent
        return self._scores

    def draw(self) -> None:
        """Draws what is written in the row."""
        row: PlayerRow | None = self.model
        if row is None:
            return
        look, pair, columns = self.look, self._pair(row), self._columns
        if pair is look.bench:
            fill(pair.ground, self.box)
        fill(look.rule, Box(self.x, self.y, self.width, max(1.0, round(dp(1)))))
        text_dp = min(15.0, self.height / dp(1) * 0.62)
        is_slim = row.keys is None
        if is_slim:
            number = Box(self.x, self.y, dp(SLIM_NUMBER_DP), self.height)
            write(pair.ink, row.number, number, text_dp * 1.15, bold=True)
            self._draw_slim_fouls(row)
        points_dp = columns.points_dp or ROOMY.points_dp
        points = Box(self.right - dp(points_dp), self.y, dp(points_dp - 8), self.height)
        if columns.points_dp or is_slim:
            write(
                pair.ink, str(row.points), points, text_dp, align=Align.RIGHT, bold=True
            )
        if is_slim or not columns.name_below:
            write(pair.ink, row.name, self._name_box(), text_dp, align=Align.LEFT)
        if columns.periods_dp:
            self._draw_periods(row.periods)

    def _pair(self, row: PlayerRow) -> Pair:
        is_plain = row.on_court or row.keys is not None
        return self.look.margin if is_plain else self.look.bench

    def _name_box(self) -> Box:
        """Where a name stands in one line: in place of the keys where it is tight."""
        columns = self._columns
        if columns.name_below and columns.periods_dp:
            width = self.right - dp(columns.points_dp) - self._keys_x
            return Box(self._keys_x, self.y, width, self.height)
        left = self.x + dp(SLIM_NUMBER_DP)
        width = max(0.0, self._periods_x - left - dp(SMALL_GAP_DP))
        return Box(left, self.y, width, self.height)

    def _draw_periods(self, periods: tuple[PeriodBox, ...]) -> None:
        look, x = self.look, self._periods_x
        width = dp(self._columns.periods_dp) / len(periods)
        side = round(min(dp(BOX_DP), width - dp(2), self.height - dp(6)))
        y = round(self.y + (self.height - side) / 2)
        boxes = [Box(round(x + n * width), y, side, side) for n in range(len(periods))]
        fill(look.page.ground, *boxes)
        frame(look.rule, *boxes, width_dp=1)
        for period, box in zip(periods, boxes, strict=True):
            if period.current:
                frame(look.line, box, width_dp=2)
            match period.mark:
                case PeriodMark.FULL:
                    slash(look.page.ink, box)
                case PeriodMark.PART:
                    cross(look.page.ink, box)
                case PeriodMark.NONE:
                    pass

    def _draw_slim_fouls(self, row: PlayerRow) -> None:
        width = dp(self._columns.fouls_dp)
        box = Box(self._fouls_x, self.y, width, self.height).inset(dp(SMALL_GAP_DP))
        draw_foul_boxes(self.look, row.fouls, box)


class NumberKey(Key):
    """The player's number, which is also the mark of being on court.

    The label, where there is one, is the name below it.
    """

    def draw(self) -> None:
        """Draws the number; struck through for a player who is out."""
        row: PlayerRow | None = self.model
        if row is None:
            return
        is_full = self.pressed or self.filled
        pair = self.look.filled if is_full else self.look.margin
        box = self.box.inset(dp(2))
        if is_full:
            fill(pair.ground, box)
        number = box
        if self.label:
            name = Box(box.x, box.y, box.width, dp(14))
            write(pair.ink, self.label, name, 11)
            number = Box(box.x, name.top, box.width, box.height - name.height)
        write(pair.ink, row.number, number, 24, bold=True)
        if row.out:
            slash(pair.ink, box.inset(dp(6)), 2)
