"""Each screen in each state, compared with the picture that was looked at."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import pytest

from mobile.presenters.intents import (
    BeginSubstitution,
    ChooseKind,
    ChoosePlayer,
    FoulPlace,
    Page,
    Rows,
    ShowRows,
    TurnTo,
    TypeDigit,
)
from mobile.settings import Language, Settings
from mobile.theme import Look
from tablesync.core.acts import Charged, Seat, SeatGiven, Side
from tablesync.core.vector_clock import DeviceId
from tests.mobile import scenes
from tests.mobile.pictures import assert_looks_like
from tests.mobile.seat_on_screen import SeatAtFakeTable

if TYPE_CHECKING:
    from collections.abc import Callable

    from mobile.presenters.intents import Intent
    from tests.mobile.table import FakeTable
    from tests.mobile.window import TestWindow

pytestmark = pytest.mark.screens

TABLET, PHONE = (1280, 800), (360, 640)
SIZES = {"tablet": TABLET, "phone": PHONE}


@dataclass(frozen=True)
class Shot:
    """One picture: a moment of the game, a seat, and what has been touched."""

    name: str
    scene: Callable[[], FakeTable]
    seat: Seat
    touches: tuple[Intent, ...] = ()
    silent_ms: int = 0
    asked: tuple[SeatGiven, ...] = ()
    look: Look = Look.LIGHT
    language: Language = Language.ENGLISH


BOOK, CLOCK = Seat.BOOK, Seat.CLOCK
PLAYER = FoulPlace(Side.HOME, "4", Charged.PLAYER)

SHOTS = (
    Shot("book-agreed", scenes.agreed, BOOK),
    Shot("book-settling", scenes.settling, BOOK),
    Shot("book-mismatch", scenes.mismatch, BOOK),
    Shot("book-mismatch-dark", scenes.mismatch, BOOK, look=Look.DARK),
    Shot("book-mismatch-german", scenes.mismatch, BOOK, language=Language.GERMAN),
    Shot("book-link-lost", scenes.agreed, BOOK, silent_ms=12_000),
    Shot(
        "book-substitution",
        scenes.agreed,
        BOOK,
        (BeginSubstitution(Side.HOME, "4"),),
    ),
    Shot("book-notice", scenes.notice, BOOK),
    Shot("book-signed", scenes.signed, BOOK, (TurnTo(Page.SIGN_OFF),)),
    Shot("book-foul-kinds", scenes.agreed, BOOK, (ChooseKind(PLAYER),)),
    Shot("book-bench", scenes.agreed, BOOK, (ShowRows(Side.HOME, Rows.BENCH),)),
    Shot("book-close-out", scenes.mismatch, BOOK, (TurnTo(Page.CLOSE_OUT),)),
    Shot("book-sign-off", scenes.mismatch, BOOK, (TurnTo(Page.SIGN_OFF),)),
    Shot("book-entries", scenes.mismatch, BOOK, (TurnTo(Page.ENTRIES),)),
    Shot(
        "book-asked",
        scenes.agreed,
        BOOK,
        asked=(SeatGiven(CLOCK, DeviceId(bytes(32))),),
    ),
    Shot("book-more", scenes.agreed, BOOK, (TurnTo(Page.MORE),)),
    Shot("clock-agreed", scenes.agreed, CLOCK, look=Look.DARK),
    Shot("clock-mismatch", scenes.mismatch, CLOCK, look=Look.DARK),
    Shot("clock-mismatch-light", scenes.mismatch, CLOCK),
    Shot("clock-running", scenes.running, CLOCK, look=Look.DARK),
    Shot("clock-time-out", scenes.time_out, CLOCK, look=Look.DARK),
    Shot("clock-settling", scenes.settling, CLOCK, look=Look.DARK),
    Shot("clock-link-lost", scenes.agreed, CLOCK, silent_ms=12_000, look=Look.DARK),
    Shot("clock-close-out", scenes.agreed, CLOCK, (TurnTo(Page.CLOSE_OUT),)),
    Shot(
        "clock-set",
        scenes.agreed,
        CLOCK,
        (TurnTo(Page.SET_CLOCK), TypeDigit("4"), TypeDigit("2")),
        look=Look.DARK,
    ),
)


PLAYER_SHOT = Shot(
    "book-player-phone", scenes.agreed, BOOK, (ChoosePlayer(Side.HOME, "11"),)
)
"""Only where one page fits does a player have a sheet of keys."""

HALF = (960, 760)
"""Beside each other on one laptop's screen, and about an older tablet."""
HALF_SHOTS = ("book-mismatch", "book-substitution", "clock-mismatch")


@pytest.mark.parametrize("shot", SHOTS, ids=lambda shot: shot.name)
@pytest.mark.parametrize("size", SIZES)
def test_the_screen_looks_as_it_was_approved(
    window: TestWindow, shot: Shot, size: str
) -> None:
    _compare(window, shot, SIZES[size], f"{shot.name}-{size}")


def test_the_keys_of_one_player_look_as_they_were_approved(
    window: TestWindow,
) -> None:
    _compare(window, PLAYER_SHOT, PHONE, PLAYER_SHOT.name)


@pytest.mark.parametrize(
    "shot",
    [shot for shot in SHOTS if shot.name in HALF_SHOTS],
    ids=lambda shot: shot.name,
)
def test_half_a_screen_looks_as_it_was_approved(window: TestWindow, shot: Shot) -> None:
    _compare(window, shot, HALF, f"{shot.name}-half")


def _compare(window: TestWindow, shot: Shot, size: tuple[int, int], name: str) -> None:
    settings = Settings(look=shot.look, language=shot.language)
    seat = SeatAtFakeTable(window, shot.scene(), shot.seat, size, settings)
    seat.session.silent_ms, seat.session.asked = shot.silent_ms, shot.asked
    for intent in shot.touches:
        seat.shell.touch(intent)
    seat.stage.refresh()
    assert_looks_like(name, window.picture())
