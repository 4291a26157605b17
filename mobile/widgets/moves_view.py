"""A substitution being picked: who is on court beside who is on the bench.

A finger that has come down on the number of who goes off can slide to who goes on.
"""

from __future__ import annotations

from collections import defaultdict
from functools import partial
from typing import TYPE_CHECKING

from kivy.metrics import dp
from kivy.properties import ObjectProperty

from mobile.presenters.intents import Back
from mobile.texts.english import ENGLISH
from mobile.widgets.drawn import Drawn
from mobile.widgets.foul_key import draw_foul_boxes
from mobile.widgets.ink import Align, Box, write
from mobile.widgets.key import Key

if TYPE_CHECKING:
    from mobile.presenters.team_sheet import Moves, MovesKey
    from mobile.texts.shape import Texts
    from mobile.theme import Colour

__all__ = ["MovesView"]

PITCH_DP, KEY_DP, GAP_DP = 56.0, 48.0, 8.0
HEAD_DP = 26.0


class MovesView(Drawn):
    """Two columns of keys, one a player; a pick shows filled."""

    texts: Texts = ObjectProperty(ENGLISH)

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self._picks: defaultdict[str, PickKey] = defaultdict(
            partial(PickKey, takes_slides=True)
        )
        self._done = Key()
        self._cancel = Key(intent=Back())

    def arrange(self) -> None:
        """Puts the keys in two columns, and the way out below."""
        moves: Moves | None = self.model
        if moves is None:
            self.hold([])
            return
        texts, keys = self.texts.book, []
        columns = self._columns(moves)
        width = (self.width - dp(GAP_DP)) / len(columns) - dp(GAP_DP)
        for column, picks in enumerate(columns):
            x = self.x + dp(GAP_DP) + column * (width + dp(GAP_DP))
            keys += self._column(picks, x, width)
        half = (self.width - dp(3 * GAP_DP)) / 2
        self._done.label, self._done.intent = texts.moves_done, moves.done
        self._cancel.label = texts.cancel
        foot = self.y + dp(GAP_DP / 2)
        left = self.x + dp(GAP_DP)
        self._done.stand(Box(left, foot, half, dp(KEY_DP)), self.look)
        right = left + half + dp(GAP_DP)
        self._cancel.stand(Box(right, foot, half, dp(KEY_DP)), self.look)
        self.hold([*keys, self._done, self._cancel])

    def _room(self) -> float:
        """How high the columns can be."""
        return float(self.height - dp(2 * HEAD_DP + PITCH_DP + GAP_DP / 2))

    def _columns(self, moves: Moves) -> list[tuple[MovesKey, ...]]:
        """Those on court, and the bench in as many columns as it needs."""
        rows = max(1, int(self._room() / dp(PITCH_DP)))
        count = -(-len(moves.bench) // rows)
        size = -(-len(moves.bench) // max(1, count))
        benches = [moves.bench[n * size : (n + 1) * size] for n in range(count)]
        return [moves.court, *benches]

    def _column(
        self, picks: tuple[MovesKey, ...], x: float, width: float
    ) -> list[PickKey]:
        top = self.top - dp(2 * HEAD_DP)
        pitch = min(dp(PITCH_DP), self._room() / max(1, len(picks)))
        height = min(dp(KEY_DP), pitch - dp(1))
        keys = []
        for place, pick in enumerate(picks):
            key = self._picks[pick.number]
            key.model, key.intent, key.filled = pick, pick.intent, pick.picked
            y = top - (place + 1) * pitch + (pitch - height) / 2
            key.stand(Box(x, y, width, height), self.look)
            keys.append(key)
        return keys

    def draw(self) -> None:
        """Draws what has been picked, and the heads of the columns."""
        moves: Moves | None = self.model
        look, texts = self.look, self.texts.book
        if moves is None:
            return
        words = Box(
            self.x + dp(12), self.top - dp(HEAD_DP), self.width - dp(24), dp(HEAD_DP)
        )
        write(look.margin.ink, moves.words, words, 15, align=Align.LEFT, bold=True)
        y = words.y - dp(HEAD_DP)
        column = self.width / len(self._columns(moves))
        for place, head in enumerate((texts.on_court, texts.on_bench)):
            width = column if place == 0 else self.width - column
            x = self.x + dp(12) + place * column
            box = Box(x, y, width - dp(24), dp(HEAD_DP))
            write(look.margin_soft.ink, head, box, 13, align=Align.LEFT)


class PickKey(Key):
    """A player to pick: number, name, fouls."""

    def draw_face(self, ink: Colour, face: Box) -> None:
        """Draws the player's number, name and fouls."""
        pick: MovesKey | None = self.model
        if pick is None:
            return
        number = Box(face.x, face.y, dp(44), face.height)
        write(ink, pick.number, number, 22, bold=True)
        width = min(dp(110), face.width * 0.4)
        fouls = Box(face.right - width, face.y, width, face.height)
        name = Box(number.right, face.y, fouls.x - number.right, face.height)
        write(ink, pick.name, name, 15, align=Align.LEFT)
        draw_foul_boxes(self.look, pick.fouls, fouls)
