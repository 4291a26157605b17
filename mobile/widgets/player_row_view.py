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

if TYPE_CHECKING:
    from mobile.presenters.player_rows import PeriodBox, PlayerRow
    from mobile.theme import Pair

__all__ = ["PlayerRowView"]

KEY_DP, GAP_DP = 48.0, 8.0
NUMBER_DP, POINTS_DP, FOULS_DP = 52.0, 36.0, 130.0
PERIODS_DP, BOX_DP = 98.0, 24.0
NARROW_FOULS_DP = 70.0
SCORE_KEYS = 4


class PlayerRowView(Drawn):
    """A row; with keys where its player is to be entered for, slim where not."""

    narrow: bool = BooleanProperty(False)
    """Where there is no room for name and quarter marks beside the keys."""

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

    def arrange(self) -> None:
        """Puts the keys in their places."""
        row: PlayerRow | None = self.model
        if row is None or row.keys is None:
            self.hold([])
            return
        y, height = self.y + (self.height - dp(KEY_DP)) / 2, dp(KEY_DP)
        fouls_dp = NARROW_FOULS_DP if self.narrow else FOULS_DP
        fouls_x = self._keys_x() - dp(GAP_DP + fouls_dp)
        number_dp = KEY_DP if self.narrow else NUMBER_DP
        self._number.stand(Box(self.x, y, dp(number_dp), height), self.look)
        self._number.model, self._number.intent = row, row.goes
        self._number.label = row.name if self.narrow else ""
        self._fouls.stand(Box(fouls_x, y, dp(fouls_dp), height), self.look)
        self._fouls.model = row.fouls
        self._fouls.intent, self._fouls.rarer = row.fouls.usual, row.fouls.rarer
        self._fouls.filled = row.fouls.chosen
        keys = self._meant(row)
        pitch = dp(SCORE_KEYS * (KEY_DP + GAP_DP)) / len(keys)
        for place, key in enumerate(keys):
            x = self._keys_x() + place * pitch
            key.stand(Box(x, y, pitch - dp(GAP_DP), height), self.look)
        self.hold([self._number, self._fouls, *keys])

    def _meant(self, row: PlayerRow) -> list[Key]:
        """The keys for points."""
        assert row.keys is not None
        meant = (row.keys.two, row.keys.three, row.keys.made, row.keys.missed)
        for key, intent in zip(self._scores, meant, strict=True):
            key.intent = intent
        return self._scores

    def _keys_x(self) -> float:
        points_dp = 0.0 if self.narrow else POINTS_DP
        keys_dp = SCORE_KEYS * (KEY_DP + GAP_DP)
        return float(self.right - dp(points_dp + keys_dp))

    def draw(self) -> None:
        """Draws what is written in the row."""
        row: PlayerRow | None = self.model
        look = self.look
        if row is None:
            return
        pair = self._pair(row)
        if pair is look.bench:
            fill(pair.ground, self.box)
        fill(look.rule, Box(self.x, self.y, self.width, max(1.0, round(dp(1)))))
        text_dp = min(15.0, self.height / dp(1) * 0.62)
        if row.keys is None:
            number = Box(self.x, self.y, dp(NUMBER_DP), self.height)
            write(pair.ink, row.number, number, text_dp * 1.15, bold=True)
            self._draw_slim_fouls(row)
        points = Box(self.right - dp(POINTS_DP), self.y, dp(POINTS_DP - 8), self.height)
        if not self.narrow or row.keys is None:
            write(
                pair.ink, str(row.points), points, text_dp, align=Align.RIGHT, bold=True
            )
        self._draw_name_and_periods(row, text_dp)

    def _pair(self, row: PlayerRow) -> Pair:
        is_plain = row.on_court or row.keys is not None
        return self.look.margin if is_plain else self.look.bench

    def _draw_name_and_periods(self, row: PlayerRow, text_dp: float) -> None:
        pair = self._pair(row)
        left = self.x + dp(NUMBER_DP)
        fouls_dp = NARROW_FOULS_DP if self.narrow else FOULS_DP
        right = self._keys_x() - dp(GAP_DP + fouls_dp + GAP_DP)
        if self.narrow and row.keys is not None:
            return
        periods_x = right - dp(PERIODS_DP) if not self.narrow else right
        name = Box(left, self.y, max(0.0, periods_x - left - dp(4)), self.height)
        write(pair.ink, row.name, name, text_dp, align=Align.LEFT)
        if not self.narrow:
            self._draw_periods(row.periods, periods_x)

    def _draw_periods(self, periods: tuple[PeriodBox, ...], x: float) -> None:
        look = self.look
        width = dp(PERIODS_DP) / len(periods)
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
        fouls_dp = NARROW_FOULS_DP if self.narrow else FOULS_DP
        x = self._keys_x() - dp(GAP_DP + fouls_dp)
        box = Box(x, self.y, dp(fouls_dp), self.height).inset(dp(3))
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
        pair = self.look.filled if self.pressed else self.look.margin
        box = self.box.inset(dp(2))
        if self.pressed:
            fill(pair.ground, box)
        number = box
        if self.label:
            name = Box(box.x, box.y, box.width, dp(14))
            write(pair.ink, self.label, name, 11)
            number = Box(box.x, name.top, box.width, box.height - name.height)
        write(pair.ink, row.number, number, 24, bold=True)
        if row.out:
            slash(pair.ink, box.inset(dp(6)), 2)
