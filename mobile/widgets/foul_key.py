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
    """Draws foul boxes side by side; written ones are full."""
    gap = dp(3)
    width = (box.width - gap * (fouls.boxes - 1)) / fouls.boxes
    side = min(width, box.height, dp(24))
    left = box.x + (box.width - side * fouls.boxes - gap * (fouls.boxes - 1)) / 2
    for place in range(fouls.boxes):
        one = Box(
            round(left + place * (side + gap)),
            round(box.y + (box.height - side) / 2),
            round(side),
            round(side),
        )
        if place < len(fouls.letters):
            fill(look.filled.ground, one)
            size_dp = side / dp(1) * 0.62
            write(look.filled.ink, fouls.letters[place], one, size_dp, bold=True)
        else:
            fill(look.page.ground, one)
            frame(look.rule, one, 1)
