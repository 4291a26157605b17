"""A team's colour as a patch; it only ever stands beside the team's name."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mobile.theme import shirt_colour
from mobile.widgets.ink import Box, fill, frame, hatch

if TYPE_CHECKING:
    from mobile.theme import Theme

__all__ = ["draw_swatch"]


def draw_swatch(look: Theme, name: str, box: Box) -> None:
    """Draws the patch; a colour that is unknown here is hatched."""
    colour = shirt_colour(name)
    if colour is None:
        fill(look.page.ground, box)
        hatch(look.rule, box)
    else:
        fill(colour, box)
    frame(look.line, box, width_dp=1.5)
