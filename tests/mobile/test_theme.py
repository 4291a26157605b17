from __future__ import annotations

import numpy as np
import pytest

from mobile.theme import (
    PAPER,
    SLATE,
    Colour,
    Look,
    Pair,
    Theme,
    shirt_colour,
    theme,
)
from tests.mobile.colour_vision import Deficiency, contrast, seen_with

BOTH = pytest.mark.parametrize("look", [PAPER, SLATE], ids=["paper", "slate"])
TEXT = 4.5
"""WCAG 2.2, success criterion 1.4.3."""
SHAPE = 3.0
"""WCAG 2.2, success criterion 1.4.11: what is needed to see a control."""


def test_contrast_is_that_of_the_published_examples() -> None:
    """WCAG 2.2: black on white is 21:1; W3C's own examples: #777777 just fails."""
    white = Colour(255, 255, 255)
    assert contrast(Colour(0, 0, 0), white) == pytest.approx(21.0)
    assert contrast(Colour(0x77, 0x77, 0x77), white) == pytest.approx(4.48, abs=0.01)


@BOTH
def test_every_pair_can_be_read(look: Theme) -> None:
    too_weak = {
        name: round(contrast(*pair), 2)
        for name, pair in look.pairs()
        if contrast(*pair) < TEXT
    }
    assert too_weak == {}


@BOTH
def test_every_pair_can_be_read_with_any_colour_vision(look: Theme) -> None:
    for name, pair in look.pairs():
        pixels = np.array([[pair.ink, pair.ground]], dtype=np.uint8)
        for deficiency in Deficiency:
            low, high = sorted(seen_with(deficiency, pixels)[0])
            assert (high + 0.05) / (low + 0.05) >= TEXT, (name, deficiency)


@BOTH
def test_frames_stand_out_from_every_ground_they_are_drawn_on(look: Theme) -> None:
    for ground in (look.page.ground, look.margin.ground, look.key.ground):
        assert contrast(look.line, ground) >= SHAPE
        assert contrast(look.frame, ground) >= SHAPE


def test_pairs_leave_out_no_pair() -> None:
    pairs = dict(PAPER.pairs())
    assert pairs["mismatch"] is PAPER.mismatch
    assert all(isinstance(pair, Pair) for pair in pairs.values())
    assert "rule" not in pairs


def test_each_look_has_its_theme() -> None:
    assert [theme(look) for look in Look] == [PAPER, SLATE]


def test_a_shirt_is_known_by_its_word_and_an_unknown_word_is_no_colour() -> None:
    assert shirt_colour(" White ") == Colour(255, 255, 255)
    assert shirt_colour("burgundy with stripes") is None
