from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING, Any

import pytest

from mobile.choice import Choice
from mobile.presenters.start_page import GameOffer
from mobile.settings import Settings
from mobile.theme import Look
from tablesync.core.acts import Seat
from tests.mobile import scenes
from tests.mobile.pictures import assert_looks_like
from tests.scribe import SHEET

if TYPE_CHECKING:
    from tests.mobile.window import TestWindow

pytestmark = pytest.mark.screens

RELAY = "ws://10.0.0.5:8642"
OFFERS = (
    (GameOffer(scenes.SHEET.title, "court 2, 2026-11-21", None), scenes.SHEET),
    (GameOffer(SHEET.title, "under way: 17-11, 2nd quarter", Seat.BOOK), SHEET),
)


class _Place:
    """Stands in for the program's window."""

    def __init__(self, window: TestWindow, size: tuple[int, int]) -> None:
        self._window = window
        self._size = size
        self.shown: Any = None

    def show(self, widget: Any) -> None:
        self.shown = widget
        self._window.show(widget, self._size)

    def key(self, label: str) -> Any:
        from mobile.widgets.key import Key

        keys = (w for w in self.shown.walk() if isinstance(w, Key))
        return next(key for key in keys if key.label == label)


async def _ask(
    window: TestWindow, labels: tuple[str, ...], settings: Settings
) -> Choice:
    from mobile.cover import ask

    place = _Place(window, (1280, 800))
    asking = asyncio.create_task(ask(place, OFFERS, settings, None))  # type: ignore[arg-type]
    await asyncio.sleep(0)
    for label in labels:
        window.touch(place.key(label).center)
    return await asking


def test_three_touches_open_a_game_at_a_seat(window: TestWindow) -> None:
    labels = ("clock seat", scenes.SHEET.title, "open the book")
    asked = _ask(window, labels, Settings(relay=RELAY))
    choice = window.loop.run_until_complete(asked)
    assert choice == Choice(Seat.CLOCK, scenes.SHEET, RELAY)


def test_a_game_under_way_needs_no_seat_to_be_chosen(window: TestWindow) -> None:
    asked = _ask(window, (SHEET.title, "open the book"), Settings())
    choice = window.loop.run_until_complete(asked)
    assert choice == Choice(Seat.BOOK, SHEET, "")


@pytest.mark.parametrize(
    ("size", "look", "name"),
    [
        ((1280, 800), Look.LIGHT, "start-tablet"),
        ((360, 640), Look.DARK, "start-phone"),
    ],
)
def test_the_cover_looks_as_it_was_approved(
    window: TestWindow, size: tuple[int, int], look: Look, name: str
) -> None:
    from mobile.cover import ask

    async def look_at() -> None:
        settings = Settings(look=look, relay=RELAY)
        place = _Place(window, size)
        asking = asyncio.create_task(ask(place, OFFERS, settings, Seat.BOOK))  # type: ignore[arg-type]
        await asyncio.sleep(0)
        window.touch(place.key(scenes.SHEET.title).center)
        assert_looks_like(name, window.picture())
        asking.cancel()

    window.loop.run_until_complete(look_at())
