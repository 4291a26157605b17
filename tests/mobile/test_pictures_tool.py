from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from tests.mobile import pictures

if TYPE_CHECKING:
    from pathlib import Path

    import numpy.typing as npt


@pytest.fixture(autouse=True)
def _own_folder(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(pictures, "REFERENCES", tmp_path)
    monkeypatch.delenv("ACCEPT_PICTURES", raising=False)


def _picture(ink: int) -> npt.NDArray[np.uint8]:
    return np.full((40, 60, 3), ink, dtype=np.uint8)


def test_a_missing_reference_fails_and_leaves_what_was_shown(tmp_path: Path) -> None:
    with pytest.raises(AssertionError, match="has no reference"):
        pictures.assert_looks_like("page", _picture(255))
    assert (tmp_path / "page.mismatch.png").exists()
    assert not (tmp_path / "page.png").exists()


def test_a_reference_is_taken_only_when_that_is_asked_for(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("ACCEPT_PICTURES", "1")
    pictures.assert_looks_like("page", _picture(255))
    monkeypatch.delenv("ACCEPT_PICTURES")
    pictures.assert_looks_like("page", _picture(255))
    with pytest.raises(AssertionError, match="looks different"):
        pictures.assert_looks_like("page", _picture(0))
    assert (tmp_path / "page.mismatch.png").exists()
    pictures.assert_looks_like("page", _picture(250))
    assert not (tmp_path / "page.mismatch.png").exists()


def test_a_small_word_that_changes_is_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ACCEPT_PICTURES", "1")
    tablet = np.full((800, 1280, 3), 255, dtype=np.uint8)
    pictures.assert_looks_like("tablet", tablet)
    monkeypatch.delenv("ACCEPT_PICTURES")
    changed = tablet.copy()
    changed[100:130, 100:120] = 0
    with pytest.raises(AssertionError):
        pictures.assert_looks_like("tablet", changed)
