from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from mobile.presenters.intents import NextLanguage, Resize, SwapBenches, SwitchLook
from mobile.settings import (
    Language,
    Settings,
    changed,
    load_settings,
    save_settings,
)
from mobile.theme import Look

if TYPE_CHECKING:
    from pathlib import Path


def test_a_key_changes_one_setting_and_a_second_touch_changes_it_back() -> None:
    start = Settings()
    assert changed(start, SwitchLook()).look is Look.DARK
    assert changed(start, SwapBenches()).is_swapped
    assert changed(start, NextLanguage()).language is Language.GERMAN
    for intent in (SwitchLook(), SwapBenches(), NextLanguage()):
        assert changed(changed(start, intent), intent) == start


def test_nothing_grows_or_shrinks_beyond_use() -> None:
    large = small = Settings()
    for _ in range(20):
        large, small = changed(large, Resize(1)), changed(small, Resize(-1))
    assert (small.percent, large.percent) == (70, 160)


def test_settings_are_there_again_after_a_restart(tmp_path: Path) -> None:
    settings = Settings(
        look=Look.DARK,
        is_swapped=True,
        language=Language.GERMAN,
        percent=120,
        relay="ws://10.0.0.5:8642",
    )
    save_settings(settings, tmp_path / "settings.json")
    assert load_settings(tmp_path / "settings.json") == settings


@pytest.mark.parametrize(
    "text", ["", "{", "[]", "{}", '{"look": "pink"}', '{"look": "dark"}', "\x00"]
)
def test_settings_that_cannot_be_read_are_those_by_default(
    tmp_path: Path, text: str
) -> None:
    path = tmp_path / "settings.json"
    path.write_text(text, encoding="utf-8")
    assert load_settings(path) == Settings()


def test_no_settings_yet_are_those_by_default(tmp_path: Path) -> None:
    assert load_settings(tmp_path / "none.json") == Settings()
