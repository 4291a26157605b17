"""Every key of live play is large enough for a finger, and far enough from the next.

48 dp with 8 dp between them: Android's guidance for touch targets (about 9 mm); WCAG
2.2 asks for 24 CSS px (2.5.8) or 44 (2.5.5).
"""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING, Any

import pytest

from mobile.presenters.intents import (
    BeginSubstitution,
    ChooseKind,
    ChoosePlayer,
    FoulPlace,
    Rows,
    ShowRows,
    TurnTo,
)
from mobile.presenters.intents import Page as PageOf
from tablesync.core.acts import Charged, Seat, Side
from tests.mobile import scenes
from tests.mobile.seat_on_screen import SeatAtFakeTable

if TYPE_CHECKING:
    from mobile.presenters.intents import Intent
    from tests.mobile.window import TestWindow

pytestmark = pytest.mark.screens

LEAST_DP, GAP_DP = 48.0, 8.0
ROUNDING = 1.0
SIZES = pytest.mark.parametrize(
    "size",
    [(1280, 800), (1366, 690), (950, 660), (412, 780), (360, 640)],
    ids=["laptop", "low", "half", "large-phone", "phone"],
)
SEATS = pytest.mark.parametrize("seat", [Seat.BOOK, Seat.CLOCK])
PLAYER = FoulPlace(Side.HOME, "4", Charged.PLAYER)


def _gap(one: Any, other: Any) -> float:
    """How far two keys are apart; those that are apart both ways are far enough."""
    across = max(one.x, other.x) - min(one.right, other.right)
    up = max(one.y, other.y) - min(one.top, other.top)
    return float(max(across, up))


def _too_small(seat: SeatAtFakeTable) -> list[tuple[str, float, float]]:
    return [
        (str(key.intent), key.width, key.height)
        for key in seat.every_key()
        if key.intent is not None
        and min(key.width, key.height) < LEAST_DP - ROUNDING / 2
    ]


def _too_near(seat: SeatAtFakeTable) -> list[tuple[str, str, float]]:
    keys = [key for key in seat.every_key() if key.intent is not None]
    return [
        (str(one.intent), str(other.intent), _gap(one, other))
        for one, other in combinations(keys, 2)
        if _gap(one, other) < GAP_DP - ROUNDING
    ]


@SIZES
@SEATS
def test_every_key_of_live_play_is_large_enough(
    window: TestWindow, seat: Seat, size: tuple[int, int]
) -> None:
    assert _too_small(SeatAtFakeTable(window, scenes.mismatch(), seat, size)) == []


@SIZES
@SEATS
def test_keys_of_live_play_are_far_enough_apart(
    window: TestWindow, seat: Seat, size: tuple[int, int]
) -> None:
    assert _too_near(SeatAtFakeTable(window, scenes.mismatch(), seat, size)) == []


@SIZES
@pytest.mark.parametrize(
    "intent",
    [
        BeginSubstitution(Side.HOME, "4"),
        ChoosePlayer(Side.HOME, "4"),
        ShowRows(Side.HOME, Rows.BENCH),
        ChooseKind(PLAYER),
        TurnTo(PageOf.CLOSE_OUT),
        TurnTo(PageOf.ENTRIES),
        TurnTo(PageOf.SIGN_OFF),
        TurnTo(PageOf.MORE),
        TurnTo(PageOf.SET_CLOCK),
    ],
    ids=lambda intent: type(intent).__name__,
)
def test_the_keys_of_every_page_are_large_enough(
    window: TestWindow, intent: Intent, size: tuple[int, int]
) -> None:
    book = SeatAtFakeTable(window, scenes.agreed(), Seat.BOOK, size)
    book.shell.touch(intent)
    book.settle()
    assert _too_small(book) == []


@SIZES
def test_no_key_lies_outside_of_the_window(
    window: TestWindow, size: tuple[int, int]
) -> None:
    for seat in (Seat.BOOK, Seat.CLOCK):
        shown = SeatAtFakeTable(window, scenes.mismatch(), seat, size)
        for key in shown.every_key():
            assert key.x >= 0, key.intent
            assert key.y >= 0, key.intent
            assert key.right <= size[0] + ROUNDING, key.intent
            assert key.top <= size[1] + ROUNDING, key.intent
