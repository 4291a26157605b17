"""The likely cause is read in full, on every screen: it is what the card is for."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from mobile.presenters.cards import Card, CardKind
from tablesync.core.acts import Seat
from tests.mobile import scenes
from tests.mobile.seat_on_screen import SeatAtFakeTable

if TYPE_CHECKING:
    from tests.mobile.window import TestWindow

pytestmark = pytest.mark.screens

LONGEST = (
    "An der Anzeige steht „Blauweiß: +3 Brackwater Wanderers“ für einen Korb, der im "
    "Buch „Grün 44: zwei Punkte“ für Saltmarsh Harriers ist (2. Verlängerung, 10:00)."
)
"""Longer than any sentence of the scenarios, with long names."""
SIZES = pytest.mark.parametrize(
    "size", [(1280, 800), (1024, 768), (950, 700), (360, 640), (640, 360)]
)


def _card_view(seat: SeatAtFakeTable) -> Any:
    from mobile.widgets.card_view import CardView

    return next(w for w in seat.stage.frame.walk() if isinstance(w, CardView))


@SIZES
@pytest.mark.parametrize("seat", [Seat.BOOK, Seat.CLOCK])
def test_a_long_sentence_is_not_cut(
    window: TestWindow, seat: Seat, size: tuple[int, int]
) -> None:
    from mobile.widgets.card_view import TEXT_DP
    from mobile.widgets.ink import fits_in_lines

    view = _card_view(SeatAtFakeTable(window, scenes.mismatch(), seat, size))
    assert fits_in_lines(LONGEST, view.text_box, TEXT_DP)
    assert not fits_in_lines(LONGEST * 4, view.text_box, TEXT_DP)


def test_what_can_not_be_written_in_full_ends_in_dots(window: TestWindow) -> None:
    from mobile.widgets.card_view import CardView

    view = CardView(size_hint=(None, None), size=(320, 124))
    card = Card(CardKind.FINDING, "x", "head", LONGEST * 4, (), status="", place="")
    view.model = (card,)
    window.show(view, (360, 640))
    *_, sentence = _textures(view)
    assert sentence.width == int(view.text_box.width)
    assert sentence.height <= view.text_box.height


def _textures(view: Any) -> list[Any]:
    from kivy.graphics import Rectangle

    drawn = (one for one in view.canvas.before.children if isinstance(one, Rectangle))
    return [one.texture for one in drawn if one.texture is not None]
