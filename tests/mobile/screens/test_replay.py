"""The replay's window: by finger, by key, and as it looks."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from mobile.presenters.replay_page import Move, Scrubber
from mobile.settings import Settings
from tablesync.scenario import read_scenario
from tests.mobile.pictures import assert_looks_like
from tests.recording import replay_of

if TYPE_CHECKING:
    from tests.mobile.window import TestWindow

pytestmark = pytest.mark.screens

TABLET, PHONE = (1280, 800), (360, 640)
REPLAY = replay_of(read_scenario(Path("scenarios/dispute-basket-found-late.jsonl")))
ALL = range(1, len(REPLAY.steps) + 1)


def _desk(window: TestWindow, size: tuple[int, int] = TABLET) -> Any:
    from mobile.replay_window import ReplayDesk

    desk = ReplayDesk(Scrubber(REPLAY, ALL), Settings())
    window.show(desk.screen, size)
    return desk


def _page(desk: Any) -> Any:
    return desk.screen.model


def test_a_finger_along_the_axis_goes_through_the_game(window: TestWindow) -> None:
    desk = _desk(window)
    axis = desk.screen.axis
    middle = axis.y + axis.height / 2
    finger = window.down((axis.x + axis.width * 0.25, middle))
    window.frames()
    assert _page(desk).share == pytest.approx(0.25, abs=0.01)
    for share in (0.5, 0.75, 0.6):
        window.move(finger, (axis.x + axis.width * share, middle))
        window.frames()
        assert _page(desk).share == pytest.approx(share, abs=0.01)
    window.up(finger)
    window.frames(2)
    assert _page(desk).share == pytest.approx(0.6, abs=0.01)


def test_keys_on_the_screen_and_on_the_keyboard_step(window: TestWindow) -> None:
    from mobile.widgets.key import Key

    desk = _desk(window)
    keys = {w.intent: w for w in desk.screen.walk() if isinstance(w, Key)}
    assert set(keys) == set(Move)
    window.touch(keys[Move.NEXT].center)
    assert _page(desk).place.startswith("2/")
    assert desk.key_down(None, window.code_of("right"))
    assert _page(desk).place.startswith("3/")
    assert desk.key_down(None, window.code_of("f"))
    assert len(_page(desk).findings) == 1
    assert not desk.key_down(None, window.code_of("q"))


def test_keys_are_large_enough_for_a_finger(window: TestWindow) -> None:
    from mobile.widgets.key import Key

    desk = _desk(window)
    for key in (w for w in desk.screen.walk() if isinstance(w, Key)):
        assert min(key.size) >= 48


@pytest.mark.parametrize(
    ("size", "name"), [(TABLET, "replay-tablet"), (PHONE, "replay-phone")]
)
def test_a_moment_looks_as_it_was_approved(
    window: TestWindow, size: tuple[int, int], name: str
) -> None:
    desk = _desk(window, size)
    desk.key_down(None, window.code_of("f"))
    assert_looks_like(name, window.picture())
