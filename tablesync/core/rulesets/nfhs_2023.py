"""NFHS Basketball Rules, from season 2023-24 on: bonus by quarter.

State associations change many of these values; a rule file overrides any number.
"""

from __future__ import annotations

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
from tablesync.core.playing_time import PlayingTimeRules
from tablesync.core.roster_rules import RosterRules, ShirtNumbers
from tablesync.core.rules import RuleSet
from tablesync.core.sources import Source, memory, read, unknown
from tablesync.core.time_out_rules import Allowance, CarryOver, TimeOutRules

__all__ = ["RULES"]

_PLAYER, _COACH, _BENCH = Charged.PLAYER, Charged.COACH, Charged.BENCH
_DIRECT, _INDIRECT, _OUT = CoachCharge.DIRECT, CoachCharge.INDIRECT, CoachCharge.OUT
_COUNT, _NEVER, _OWN = Penalty.BY_COUNT, Penalty.NEVER_SHOTS, Penalty.OWN
_TEAM = memory("4-8-1, 10-5")
_DISQUALIFIED = read("4-14-1")
_EJECTED = read("10-5 penalty, 2-11-5")
_ALL = 99
"""More than any team has, so that everything goes over."""


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
    _of_player("personal", "P", _COUNT, _TEAM),
    _of_player("offensive", "P", _NEVER, memory("4-8-1")),
    # In an intermission everybody is bench personnel, so the coach is charged too.
    FoulRule(
        _PLAYER,
        "technical",
        "technical foul",
        "T",
        _OWN,
        read("4-14-1, 4-34-2, 2-11-5"),
        to_team=True,
        to_player=True,
        adds_between=_INDIRECT,
    ),
    _of_player("intentional", "I", _OWN, memory("4-8-1")),
    _of_player("flagrant", "F", _OWN, _DISQUALIFIED),
    _of_staff(_COACH, "technical", "T", _DIRECT, _TEAM),
    _of_staff(_COACH, "flagrant", "F", _OUT, _DISQUALIFIED),
    _of_staff(_BENCH, "technical", "T", _INDIRECT, _TEAM),
    _of_staff(_BENCH, "flagrant", "F", _INDIRECT, memory("10-5")),
    # Charged to the team alone: roster, starters, too many time-outs.
    _of_staff(_BENCH, "administrative", "T", CoachCharge.NONE, read("10-1, 10-2")),
)

RULES = RuleSet(
    name="nfhs-2023",
    title="NFHS from 2023-24 on",
    periods=4,
    period_name="quarter",
    period_ms=8 * 60_000,
    overtime_ms=4 * 60_000,
    intervals=IntervalRules(
        between_ms=60_000,
        half_time_ms=10 * 60_000,
        before_overtime_ms=60_000,
        signals_left_ms=(15_000, 0),
        half_signals_left_ms=(180_000, 15_000, 0),
    ),
    fouls=FoulRules(
        kinds=_KINDS,
        player_limit=5,
        player_limits=(
            PlayerLimit(1, frozenset({"flagrant"}), "a flagrant foul", _DISQUALIFIED),
            PlayerLimit(
                2, frozenset({"technical"}), "two technical fouls", _DISQUALIFIED
            ),
        ),
        coach_limits=(
            CoachLimit(1, frozenset({_OUT}), "a flagrant foul", _DISQUALIFIED),
            CoachLimit(2, frozenset({_DIRECT}), "two direct technical fouls", _EJECTED),
            CoachLimit(
                3,
                frozenset({_DIRECT, _INDIRECT}),
                "three technical fouls, direct and indirect",
                _EJECTED,
            ),
        ),
        periods_per_span=1,
        overtime_joins_last=True,
        bonus=(BonusStep(5, Award.TWO_SHOTS, read("4-8-1")),),
    ),
    time_outs=TimeOutRules(
        full_ms=60_000,
        short_ms=30_000,
        game=Allowance(full=3, short=2),
        into_second_half=CarryOver(full=_ALL, short=_ALL, total=_ALL),
        second_half=Allowance(full=0, short=0),
        into_overtime=CarryOver(full=_ALL, short=_ALL, total=_ALL),
        overtime=Allowance(full=1, short=0),
        late_limit=None,
        signals_left_ms=(15_000, 0),
    ),
    roster=RosterRules(ShirtNumbers.FIVES, both_noughts=False, most_players=None),
    arrow=ArrowRules(later_periods=Opening.ARROW, overtimes=Opening.JUMP_BALL),
    playing_time=PlayingTimeRules(()),
    closed_by="the officials' leaving the visual confines",
    sources={
        "periods": read("5-5-1"),
        "period_name": read("5-5-1"),
        "period_ms": read("5-5-1"),
        "overtime_ms": read("5-7-3"),
        "intervals.between_ms": read("5-5-1"),
        "intervals.half_time_ms": read("5-5-1"),
        "intervals.before_overtime_ms": read("5-7"),
        "intervals.signals_left_ms": read("2-12-4"),
        "intervals.half_signals_left_ms": read("2-12-1, -2, -4"),
        "fouls.player_limit": read("4-14-1, 2-11-5"),
        "fouls.periods_per_span": read("4-8-1"),
        "fouls.overtime_joins_last": memory("4-8-1"),
        "time_outs.full_ms": read("5-12-1"),
        "time_outs.short_ms": read("5-12-1"),
        "time_outs.game": read("5-12-1"),
        "time_outs.into_second_half": read("5-12-1"),
        "time_outs.second_half": read("5-12-1"),
        "time_outs.into_overtime": read("5-12-1"),
        "time_outs.overtime": read("5-12-1"),
        "time_outs.late_limit": read("5-12-1"),
        "time_outs.signals_left_ms": read("2-12-4"),
        "roster.numbers": read("3-4-3"),
        "roster.both_noughts": read("3-4-3"),
        "roster.most_players": unknown("3-1, 3-2: no number read"),
        "arrow.later_periods": read("6-4-1, 6-4-2"),
        "arrow.overtimes": read("6-4-1, 6-4-2"),
        "closed_by": read("2-11-11, 2-2-4"),
    },
)
