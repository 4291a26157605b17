"""Moments of a game as people write them down: "2/3:07", "#41", "+184.5"."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from tablesync.core.act_words import clock_words
from tablesync.core.acts import Seat
from tablesync.core.words import ordinal
from tablesync.errors import BadInputError
from tablesync.replay.replay import EntryStep

if TYPE_CHECKING:
    from tablesync.core.game_clock import ClockReading
    from tablesync.core.rules import RuleSet
    from tablesync.replay.replay import Replay

__all__ = ["FORMS", "moment_ms", "moment_words", "period_words"]

FORMS = 'a period and its clock ("2/3:07"), an entry ("#41"), seconds ("+184.5")'
BY_CLOCK = re.compile(r"(\d{1,2})/(?:(\d{1,2}):)?(\d{1,2})(?:\.(\d))?")
BY_ENTRY = re.compile(r"#?(\d{1,6})")
BY_SECONDS = re.compile(r"\+(\d{1,6}(?:\.\d{1,3})?)")


def moment_ms(text: str, replay: Replay, where: str) -> int:
    """The table time of a moment.

    Args:
        text: in one of these forms: `2/3:07`, the first time at which the clock of the
            second period showed 3:07 or less; `#41`, the 41st entry; `+184.5`, so many
            seconds after the first entry.
        replay: the game.
        where: the argument's name, for the error.

    Raises:
        BadInputError: it has none of the forms, or there is no such moment.
    """
    if by_clock := BY_CLOCK.fullmatch(text):
        period, minutes, seconds, tenths = by_clock.groups(default="0")
        remaining_ms = (int(minutes) * 60 + int(seconds)) * 1_000 + int(tenths) * 100
        at_ms = _when_clock_showed(replay, int(period), remaining_ms)
    elif by_entry := BY_ENTRY.fullmatch(text):
        at_ms = _when_entered(replay, int(by_entry[1]))
    elif by_seconds := BY_SECONDS.fullmatch(text):
        first_ms = replay.steps[0].at_ms if replay.steps else 0
        at_ms = first_ms + round(float(by_seconds[1]) * 1_000)
    else:
        raise BadInputError(where, f"{text!r} is no moment", FORMS)
    if at_ms is None:
        raise BadInputError(where, f"{text!r} never came", "a moment of this game")
    return at_ms


def _when_entered(replay: Replay, number: int) -> int | None:
    times = [step.at_ms for step in replay.steps if isinstance(step, EntryStep)]
    return times[number - 1] if 0 < number <= len(times) else None


def _when_clock_showed(replay: Replay, period: int, remaining_ms: int) -> int | None:
    worked = [
        step.at_ms
        for step in replay.steps
        if isinstance(step, EntryStep) and step.entry.seat is Seat.CLOCK
    ]
    latest_ms = replay.rules.period_length_ms(period)
    for at_ms, next_ms in zip(
        worked, [*worked[1:], worked[-1] + latest_ms] if worked else [], strict=True
    ):
        reading = replay.reading(at_ms)
        if reading.period != period:
            continue
        ahead_ms = max(0, reading.remaining_ms - remaining_ms)
        if ahead_ms == 0 or (reading.running and at_ms + ahead_ms <= next_ms):
            return at_ms + ahead_ms
    return None


def period_words(period: int, rules: RuleSet) -> str:
    """A period in few letters: "2nd", "OT1"."""
    if period > rules.periods:
        return f"OT{period - rules.periods}"
    return ordinal(period)


def moment_words(reading: ClockReading, rules: RuleSet) -> str:
    """Period and clock in few letters: "2nd 3:07"."""
    if reading.period == 0:
        return "before"
    return f"{period_words(reading.period, rules)} {clock_words(reading.remaining_ms)}"
