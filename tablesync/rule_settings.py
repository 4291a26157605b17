"""Every value that a rule file can set: its key, what it may be, and where it goes.

One more value is one more line in the table. Times are seconds in a file and
milliseconds in a rule set.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.act_fields import flag, matching, one_of, text, whole
from tablesync.core.acts import Charged
from tablesync.core.arrow_rules import Opening
from tablesync.core.foul_rules import (
    Award,
    BonusStep,
    CoachCharge,
    CoachLimit,
    FoulRule,
    Penalty,
    PlayerLimit,
)
from tablesync.core.playing_time import PlayingTimeRule
from tablesync.core.roster_rules import ShirtNumbers
from tablesync.core.time_out_rules import Allowance, CarryOver, LateLimit
from tablesync.frozen import dataclass
from tablesync.rule_fields import (
    charges,
    even,
    falling_seconds,
    foul_kinds,
    row,
    rows_of_league,
    seconds,
    seconds_or_none,
)

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["SETTINGS", "Setting"]


@dataclass(frozen=True, slots=True)
class Setting:
    """One key of a rule file."""

    key: str
    """With its table: "time_outs.full_s"."""
    path: str
    """The field of the rule set, with its group: "time_outs.full_ms"."""
    expected: str
    read: Callable[[object], object]


def _late_limit(number: int, remaining_s: int) -> LateLimit:
    """A row as it is read, where the seconds have become milliseconds."""
    return LateLimit(number, remaining_s)


def _alike(path: str, expected: str, read: Callable[[object], object]) -> Setting:
    """A setting whose key is the field's own path."""
    return Setting(path, path, expected, read)


def _timed(path: str, expected: str, read: Callable[[object], object]) -> Setting:
    """A setting in seconds of a field in milliseconds."""
    return Setting(f"{path}_s", f"{path}_ms", expected, read)


_COUNT = whole(0, 99)
_ALLOWANCE = row(Allowance, {"full": _COUNT, "short": _COUNT})
_CARRY_OVER = row(CarryOver, {"full": _COUNT, "short": _COUNT, "total": _COUNT})
_SECONDS = "seconds from 0.1 to 3600"
_SIGNALS = "falling seconds before the end, such as [15, 0]"
_AN_ALLOWANCE = "{ full = 3, short = 2 }, each from 0 to 99"
_A_CARRY_OVER = "{ full = 99, short = 2, total = 99 }, each from 0 to 99"
_AN_OPENING = '"jump_ball" or "arrow"'

SETTINGS: tuple[Setting, ...] = (
    _alike("closed_by", "what ends the time for corrections", text(80)),
    Setting("periods.number", "periods", "2 or 4", even(whole(2, 4))),
    Setting(
        "periods.name",
        "period_name",
        'a word such as "quarter"',
        matching(r"[a-z]{1,16}"),
    ),
    Setting("periods.length_s", "period_ms", _SECONDS, seconds),
    Setting("periods.overtime_s", "overtime_ms", _SECONDS, seconds),
    _timed("intervals.between", _SECONDS, seconds),
    _timed("intervals.half_time", _SECONDS, seconds),
    _timed("intervals.before_overtime", _SECONDS, seconds),
    _timed("intervals.signals_left", _SIGNALS, falling_seconds),
    _timed("intervals.half_signals_left", _SIGNALS, falling_seconds),
    _alike("fouls.player_limit", "a whole number from 1 to 20", whole(1, 20)),
    _alike("fouls.periods_per_span", "1 or 2", whole(1, 2)),
    _alike("fouls.overtime_joins_last", "true or false", flag),
    _alike(
        "fouls.bonus",
        'rows such as { from_count = 7, award = "one_and_one" }',
        rows_of_league(BonusStep, {"from_count": whole(1, 99), "award": one_of(Award)}),
    ),
    _alike(
        "fouls.kinds",
        "rows with charged, kind, title, letter, penalty, to_team, to_player, "
        "to_coach and adds_between",
        rows_of_league(
            FoulRule,
            {
                "charged": one_of(Charged),
                "kind": matching(r"[a-z_]{1,24}"),
                "title": text(60),
                "letter": text(3),
                "penalty": one_of(Penalty),
                "to_team": flag,
                "to_player": flag,
                "to_coach": one_of(CoachCharge),
                "adds_between": one_of(CoachCharge),
            },
        ),
    ),
    _alike(
        "fouls.player_limits",
        'rows such as { number = 2, kinds = ["technical"], says = "two technicals" }',
        rows_of_league(
            PlayerLimit,
            {"number": whole(1, 20), "kinds": foul_kinds, "says": text(80)},
        ),
    ),
    _alike(
        "fouls.coach_limits",
        'rows such as { number = 2, charges = ["direct"], says = "two technicals" }',
        rows_of_league(
            CoachLimit, {"number": whole(1, 20), "charges": charges, "says": text(80)}
        ),
    ),
    _timed("time_outs.full", _SECONDS, seconds),
    _timed("time_outs.short", f"{_SECONDS}, or 0 for none", seconds_or_none),
    _alike("time_outs.game", _AN_ALLOWANCE, _ALLOWANCE),
    _alike("time_outs.into_second_half", _A_CARRY_OVER, _CARRY_OVER),
    _alike("time_outs.second_half", _AN_ALLOWANCE, _ALLOWANCE),
    _alike("time_outs.into_overtime", _A_CARRY_OVER, _CARRY_OVER),
    _alike("time_outs.overtime", _AN_ALLOWANCE, _ALLOWANCE),
    _alike(
        "time_outs.late_limit",
        "{ number = 2, remaining_s = 120 }",
        row(_late_limit, {"number": _COUNT, "remaining_s": seconds}),
    ),
    _timed("time_outs.signals_left", _SIGNALS, falling_seconds),
    _alike("roster.numbers", '"up_to_99" or "fives"', one_of(ShirtNumbers)),
    _alike("roster.both_noughts", "true or false", flag),
    _alike("roster.most_players", "a whole number from 5 to 99", whole(5, 99)),
    _alike("arrow.later_periods", _AN_OPENING, one_of(Opening)),
    _alike("arrow.overtimes", _AN_OPENING, one_of(Opening)),
    _alike(
        "playing_time.by_present",
        "rows such as { least_present = 7, whole = 2, most = 3, out = 1 }",
        rows_of_league(
            PlayingTimeRule,
            {
                "least_present": whole(1, 30),
                "whole": whole(0, 20),
                "most": whole(0, 20),
                "out": whole(0, 20),
            },
        ),
    ),
)
