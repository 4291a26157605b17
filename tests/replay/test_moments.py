"""Moments are named as people at the table write them down."""

from __future__ import annotations

from pathlib import Path

import pytest

from tablesync.core.acts import ClockStart, ClockStop, Note, OpenPeriod, Seat, SetClock
from tablesync.core.game_clock import ClockReading
from tablesync.core.rulesets import rule_set
from tablesync.errors import BadInputError
from tablesync.replay.moments import moment_ms, moment_words, period_words
from tablesync.replay.replay import EntryStep, Replay
from tablesync.scenario import read_scenario
from tests.recording import replay_of
from tests.telling import told

FIBA = rule_set("fiba-2024")
MISSED = replay_of(read_scenario(Path("scenarios/basket-missed-on-the-board.jsonl")))
WORKED = told(
    (10_000, Seat.CLOCK, OpenPeriod(1)),
    (20_000, Seat.CLOCK, ClockStart()),
    (50_000, Seat.CLOCK, ClockStop()),
    (60_000, Seat.CLOCK, SetClock(580_000)),
    (70_000, Seat.CLOCK, ClockStart()),
    (85_000, Seat.CLOCK, ClockStop()),
    (90_000, Seat.CLOCK, OpenPeriod(2)),
    (95_000, Seat.CLOCK, ClockStart()),
)


def at(text: str, replay: Replay = WORKED) -> int:
    return moment_ms(text, replay, "--at")


@pytest.mark.parametrize(
    ("text", "at_ms"),
    [
        ("1/10:00", 10_000),
        ("1/9:59", 21_000),
        ("1/9:30", 50_000),
        ("1/9:30.5", 49_500),
        ("1/9:40", 40_000),
        ("2/9:59", 96_000),
        ("2/0", 695_000),
        ("2/42.5", 95_000 + 557_500),
        ("#1", 10_000),
        ("8", 95_000),
        ("+0", 10_000),
        ("+12.345", 22_345),
    ],
)
def test_a_moment_is_found(text: str, at_ms: int) -> None:
    assert at(text) == at_ms


def test_a_clock_set_back_shows_a_time_twice_and_the_first_counts() -> None:
    assert at("1/9:35") == 45_000


def test_the_clock_that_is_named_is_the_one_that_is_read() -> None:
    for step in MISSED.steps:
        reading = MISSED.reading(step.at_ms)
        if reading.running and isinstance(step, EntryStep):
            tenths = reading.remaining_ms // 100 * 100
            text = f"1/{tenths // 60_000}:{tenths % 60_000 // 1000:02}"
            text += f".{tenths % 1000 // 100}"
            found_ms = at(text, MISSED)
            assert found_ms < step.at_ms + 100
            assert MISSED.reading(found_ms).remaining_ms == tenths


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("half past three", "'half past three' is no moment"),
        ("", "'' is no moment"),
        ("1/9:5a", "'1/9:5a' is no moment"),
        ("#0", "'#0' never came"),
        ("#9", "'#9' never came"),
        ("3/9:00", "'3/9:00' never came"),
        ("1/9:00", "'1/9:00' never came"),
    ],
)
def test_what_is_no_moment_of_the_game_is_refused(text: str, what: str) -> None:
    with pytest.raises(BadInputError, match=r"^--at: ") as caught:
        at(text)
    assert caught.value.what == what


def test_a_game_without_a_clock_has_moments_by_entry_only() -> None:
    replay = told((5_000, Seat.BOOK, Note("here")))
    assert at("#1", replay) == 5_000
    with pytest.raises(BadInputError, match="never came"):
        at("1/10:00", replay)


def test_periods_and_readings_take_few_letters() -> None:
    assert [period_words(n, FIBA) for n in (1, 2, 4, 5, 6)] == [
        "1st",
        "2nd",
        "4th",
        "OT1",
        "OT2",
    ]
    assert moment_words(ClockReading(0, 0, running=False), FIBA) == "before"
    assert moment_words(ClockReading(2, 187_000, running=True), FIBA) == "2nd 3:07"
    assert moment_words(ClockReading(5, 42_500, running=True), FIBA) == "OT1 42.5"
