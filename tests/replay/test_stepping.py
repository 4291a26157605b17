"""Keys go from step to step, and from finding to finding."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from rich.console import Console

from tablesync.replay.lines import Narrator
from tablesync.replay.replay import FindingStep
from tablesync.replay.stepping import Stepper, step_through
from tablesync.scenario import read_scenario
from tests.recording import replay_of

MISSED = replay_of(read_scenario(Path("scenarios/basket-missed-on-the-board.jsonl")))
ALL = range(1, len(MISSED.steps) + 1)
FOUND = [at for at in ALL if isinstance(MISSED.steps[at - 1], FindingStep)]


@pytest.mark.parametrize(
    ("keys", "position"),
    [
        ("", 0),
        ("n", 2),
        ("nn", 4),
        (" \r", 4),
        (["\x1b[C", "\x1b[C", "\x1b[D"], 2),
        ("nnnp", 4),
        ("p", 0),
        ("np", 2),
        ("f", 4),
        ("ff", 7),
        ("fff", 7),
        ("eb", 7),
        ("ebb", 4),
        ("e", 9),
        ("en", 9),
        ("eg", 2),
        ("x", 0),
    ],
)
def test_a_key_goes_to_its_position(keys: str | list[str], position: int) -> None:
    stepper = Stepper([2, 4, 5, 7, 9], [4, 7])
    for key in keys:
        stepper.press(key)
    assert stepper.position == position


def test_with_nothing_selected_no_key_goes_anywhere() -> None:
    stepper = Stepper([], [])
    for key in "npfbge":
        stepper.press(key)
    assert stepper.position == 0


def shown_after(keys: list[str]) -> list[str]:
    """The pages that are shown while these keys are pressed."""
    out = io.StringIO()
    console = Console(file=out, width=100, force_terminal=True, color_system=None)
    pressed = iter(keys)
    step_through(console, MISSED, Narrator(MISSED), ALL, lambda: next(pressed))
    assert next(pressed, None) is None
    return out.getvalue().split("\x1b[2J")[1:]


def test_every_key_shows_a_page_until_the_key_to_quit() -> None:
    pages = shown_after(["n", "f", "q"])
    assert len(pages) == 3
    assert all("had received" in page and "q quit" in page for page in pages)
    assert "no finding is open" in pages[0]
    step = MISSED.steps[FOUND[0] - 1]
    assert isinstance(step, FindingStep)
    assert step.finding.text[:60] in pages[2]


@pytest.mark.parametrize("key", ["q", "\x03", "\x1b"])
def test_there_is_more_than_one_way_out(key: str) -> None:
    assert len(shown_after([key])) == 1


def test_the_page_of_a_moment_sets_off_what_differs() -> None:
    [_, page] = shown_after(["f", "q"])
    score = next(line for line in page.splitlines() if " score " in line)
    assert "5:7" in score
    assert "5:5" in score
