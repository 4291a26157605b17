"""A group of foul boxes, which is one key: a tap fills the next."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kivy.metrics import dp

from mobile.widgets.ink import Box, fill, frame, write
from mobile.widgets.key import Key

if TYPE_CHECKING:
    from mobile.presenters.foul_boxes import FoulBoxes
    from mobile.theme import Colour, Theme

__all__ = ["FoulKey", "draw_foul_boxes"]

NARROW_BOX_DP = 14.0


class FoulKey(Key):
    """The boxes, in a key's frame; a word above them where they are not a player's."""

    def draw_face(self, ink: Colour, face: Box) -> None:
        """Draws the boxes, and above them whose they are."""
        if self.model is None:
            return
        if self.label:
            words = Box(face.x, face.top - dp(16), face.width, dp(16))
            write(ink, self.label, words, 12)
            face = Box(face.x, face.y, face.width, face.height - dp(17))
        draw_foul_boxes(self.look, self.model, face)


def draw_foul_boxes(look: Theme, fouls: FoulBoxes, box: Box) -> None:
    """Draws foul boxes, in two rows where one would be too small to read.

    Written ones are full.
    """
    gap = dp(3)
    rows = 2 if box.width < dp(NARROW_BOX_DP) * fouls.boxes < box.height * 4 else 1
    columns = -(-fouls.boxes // rows)
    width = (box.width - gap * (columns - 1)) / columns
    height = (box.height - gap * (rows - 1)) / rows
    side = round(min(width, height, dp(24)))
    left = box.x + (box.width - side * columns - gap * (columns - 1)) / 2
    top = box.y + (box.height + side * rows + gap * (rows - 1)) / 2
    places = []
    for place in range(fouls.boxes):
        row, column = divmod(place, columns)
        x = round(left + column * (side + gap))
        y = round(top - (row + 1) * side - row * gap)
        places.append(Box(x, y, side, side))
    written = places[: len(fouls.letters)]
    empty = places[len(fouls.letters) :]
    fill(look.filled.ground, *written)
    fill(look.page.ground, *empty)
    frame(look.rule, *empty, width_dp=1)
    size_dp = side / dp(1) * 0.62
    for one, letter in zip(written, fouls.letters, strict=True):
        write(look.filled.ink, letter, one, size_dp, bold=True)
