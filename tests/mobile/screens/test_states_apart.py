"""The states of a cell are told apart without any one way of seeing colours."""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np
import pytest

from mobile.presenters.strip import Agreement, Cell, PartnerCell, Strip
from mobile.theme import PAPER, SLATE, Theme
from tablesync.core.acts import Side
from tablesync.core.tally import Item
from tests.mobile.colour_vision import Deficiency, seen_with

if TYPE_CHECKING:
    import numpy.typing as npt

    from tests.mobile.window import TestWindow

pytestmark = pytest.mark.screens

SIZE = (1280, 80)
VISIBLE = 0.15
"""Difference of luminance, of 1, that an eye sees without looking for it."""
LEAST_SHARE = 0.04
"""Share of a cell that must differ so."""


def _same_words(state: Agreement) -> Cell:
    """The same values and words in each state, so that only its drawing differs."""
    return Cell(Item.SCORE, Side.HOME, "score", "score", "24", "24", state, "words")


def _cells(window: TestWindow, look: Theme) -> dict[Agreement, npt.NDArray[np.uint8]]:
    from kivy.core.window import Window

    from mobile.widgets.strip_view import StripView

    Window.clearcolor = look.margin.ground.rgba
    cells = tuple(_same_words(state) for state in Agreement)
    view = StripView(look=look, size_hint=(1, None), height=SIZE[1])
    view.model = Strip(cells, PartnerCell("", "", "", in_touch=True))
    window.show(view, (SIZE[0], 400))
    shown = window.picture()[-SIZE[1] : -2]
    width = SIZE[0] // (len(cells) + 1)
    return {
        state: shown[:, place * width : place * width + width]
        for place, state in enumerate(Agreement)
    }


@pytest.mark.parametrize("look", [PAPER, SLATE], ids=["paper", "slate"])
def test_each_state_looks_different_to_every_eye(
    window: TestWindow, look: Theme
) -> None:
    cells = _cells(window, look)
    for deficiency in Deficiency:
        for one, other in combinations(Agreement, 2):
            seen = [seen_with(deficiency, cells[state]) for state in (one, other)]
            share = float((np.abs(seen[0] - seen[1]) > VISIBLE).mean())
            # The sign alone is small; the frame and the ground carry further.
            least = LEAST_SHARE if Agreement.MISMATCH in (one, other) else 0.005
            assert share > least, (one, other, deficiency, share)


def test_each_state_has_a_sign_of_its_own() -> None:
    assert len({state.value for state in Agreement}) == len(Agreement)
