"""NCAA women: quarters, bonus by quarter, time-outs of a game with media ones.

What was read of technical fouls is the system of 2008 and of time-outs the allotment of
2015-17; the present ones are not established.
"""

from __future__ import annotations

from dataclasses import replace

from tablesync.core.acts import Charged
from tablesync.core.arrow_rules import ArrowRules, Opening
from tablesync.core.foul_rules import (
    Award,
    BonusStep,
    CoachCharge,
    CoachLimit,
    FoulRule,
    FoulRules,
    Penalty,
    PlayerLimit,
)
from tablesync.core.interval_rules import IntervalRules
from tablesync.core.rulesets import ncaa_men
from tablesync.core.sources import Source, memory, read, unknown
from tablesync.core.time_out_rules import Allowance, CarryOver, TimeOutRules

__all__ = ["RULES"]

_PLAYER, _COACH, _BENCH = Charged.PLAYER, Charged.COACH, Charged.BENCH
_DIRECT, _INDIRECT, _OUT = CoachCharge.DIRECT, CoachCharge.INDIRECT, CoachCharge.OUT
_COUNT, _NEVER, _OWN = Penalty.BY_COUNT, Penalty.NEVER_SHOTS, Penalty.OWN
_DIRECT_ONES = read("Rule 10 (2008)")
_TODAY = memory("Rule 10")
_MEDIA = read("media format 2015-17")
_ALL = 99
"""More than any team has, so that everything goes over."""
_MEN = ncaa_men.RULES


def _of_player(kind: str, letter: str, penalty: Penalty, source: Source) -> FoulRule:
    title = f"{kind} foul"
    return FoulRule(
        _PLAYER, kind, title, letter, penalty, source, to_team=True, to_player=True
    )


def _of_staff(
    charged: Charged, kind: str, letter: str, to_coach: CoachCharge, source: Source
) -> FoulRule:
    title = f"{kind} foul"
    return FoulRule(
        charged, kind, title, letter, _OWN, source, to_team=True, to_coach=to_coach
    )


_KINDS = (
    _of_player("personal", "P", _COUNT, memory()),
    _of_player("offensive", "P", _NEVER, memory()),
    _of_player("technical", "T", _OWN, _DIRECT_ONES),
    _of_player("intentional", "I", _OWN, _TODAY),
    _of_player("disqualifying", "D", _OWN, _TODAY),
    _of_staff(_COACH, "technical", "T", _DIRECT, _DIRECT_ONES),
    _of_staff(_COACH, "disqualifying", "D", _OUT, _TODAY),
    _of_staff(_BENCH, "technical", "T", _INDIRECT, _DIRECT_ONES),
    _of_staff(_BENCH, "disqualifying", "D", _INDIRECT, _TODAY),
)

RULES = replace(
    _MEN,
    name="ncaa-women",
    title="NCAA women",
    periods=4,
    period_name="quarter",
    period_ms=10 * 60_000,
    intervals=IntervalRules(
        between_ms=None,
        half_time_ms=15 * 60_000,
        before_overtime_ms=60_000,
        signals_left_ms=(15_000, 0),
        half_signals_left_ms=(15_000, 0),
    ),
    fouls=FoulRules(
        kinds=_KINDS,
        player_limit=5,
        player_limits=(
            PlayerLimit(
                1, frozenset({"disqualifying"}), "a disqualifying foul", _TODAY
            ),
            PlayerLimit(
                2, frozenset({"technical"}), "two technical fouls", _DIRECT_ONES
            ),
        ),
        coach_limits=(
            CoachLimit(1, frozenset({_OUT}), "a disqualifying foul", _TODAY),
            CoachLimit(
                2, frozenset({_DIRECT}), "two direct technical fouls", _DIRECT_ONES
            ),
            CoachLimit(
                3,
                frozenset({_DIRECT, _INDIRECT}),
                "three technical fouls, direct and indirect",
                _DIRECT_ONES,
            ),
        ),
        periods_per_span=1,
        overtime_joins_last=True,
        bonus=(BonusStep(5, Award.TWO_SHOTS, read("rules of 2015-16 on")),),
    ),
    time_outs=TimeOutRules(
        full_ms=60_000,
        short_ms=30_000,
        game=Allowance(full=1, short=3),
        into_second_half=CarryOver(full=_ALL, short=_ALL, total=3),
        second_half=Allowance(full=0, short=0),
        into_overtime=CarryOver(full=_ALL, short=_ALL, total=_ALL),
        overtime=Allowance(full=0, short=1),
        late_limit=None,
        signals_left_ms=(15_000, 0),
    ),
    arrow=ArrowRules(later_periods=Opening.ARROW, overtimes=Opening.JUMP_BALL),
    sources={
        **_MEN.sources,
        "periods": read("rules of 2015-16 on"),
        "period_name": read("rules of 2015-16 on"),
        "period_ms": read("rules of 2015-16 on"),
        "overtime_ms": memory("5-6"),
        "intervals.between_ms": unknown("5-6"),
        "intervals.half_time_ms": memory("5-6"),
        "intervals.before_overtime_ms": memory("5-6"),
        "fouls.player_limit": read("Rule 10 (2008)"),
        "fouls.periods_per_span": read("rules of 2015-16 on"),
        "time_outs.full_ms": _MEDIA,
        "time_outs.short_ms": _MEDIA,
        "time_outs.game": _MEDIA,
        "time_outs.into_second_half": _MEDIA,
        "time_outs.second_half": _MEDIA,
        "time_outs.into_overtime": _MEDIA,
        "time_outs.overtime": _MEDIA,
        "time_outs.late_limit": _MEDIA,
    },
)
