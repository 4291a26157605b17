"""NCAA men: two halves, one-and-one, time-outs of a game with media ones.

Class A technicals are entered as "technical", class B as "technical_b", flagrant 1 as
"flagrant_one" and flagrant 2 as "flagrant".
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
from tablesync.core.sources import Source, memory, read, second_hand, unknown
from tablesync.core.time_out_rules import Allowance, CarryOver, TimeOutRules

__all__ = ["RULES"]

_PLAYER, _COACH, _BENCH = Charged.PLAYER, Charged.COACH, Charged.BENCH
_DIRECT, _INDIRECT, _OUT = CoachCharge.DIRECT, CoachCharge.INDIRECT, CoachCharge.OUT
_COUNT, _NEVER, _OWN = Penalty.BY_COUNT, Penalty.NEVER_SHOTS, Penalty.OWN
_CLASSES = read("Rule 10 (2008), scorers' duties 2018-19")
_FLAGRANT = memory("Rule 10")
_ALL = 99
"""More than any team has, so that everything goes over."""

_TITLES = {
    "personal": "personal foul",
    "offensive": "player-control foul",
    "technical": "class A technical foul",
    "technical_b": "class B technical foul",
    "flagrant_one": "flagrant 1 foul",
    "flagrant": "flagrant 2 foul",
}


def _of_player(kind: str, letter: str, penalty: Penalty, source: Source) -> FoulRule:
    title = _TITLES[kind]
    counts = kind != "technical_b"
    return FoulRule(
        _PLAYER, kind, title, letter, penalty, source, to_team=counts, to_player=counts
    )


def _of_staff(
    charged: Charged, kind: str, letter: str, to_coach: CoachCharge, source: Source
) -> FoulRule:
    title = _TITLES[kind]
    counts = kind != "technical_b"
    return FoulRule(
        charged, kind, title, letter, _OWN, source, to_team=counts, to_coach=to_coach
    )


_KINDS = (
    _of_player("personal", "P", _COUNT, memory()),
    _of_player("offensive", "P", _NEVER, memory()),
    _of_player("technical", "A", _OWN, _CLASSES),
    _of_player("technical_b", "B", _OWN, _CLASSES),
    _of_player("flagrant_one", "F1", _OWN, _FLAGRANT),
    _of_player("flagrant", "F2", _OWN, _FLAGRANT),
    _of_staff(_COACH, "technical", "A", _DIRECT, _CLASSES),
    _of_staff(_COACH, "technical_b", "B", _INDIRECT, _CLASSES),
    _of_staff(_COACH, "flagrant", "F2", _OUT, _FLAGRANT),
    # What the bench does gives the head coach a class B.
    _of_staff(_BENCH, "technical", "A", _INDIRECT, _CLASSES),
    _of_staff(_BENCH, "technical_b", "B", _INDIRECT, _CLASSES),
    _of_staff(_BENCH, "flagrant", "F2", _INDIRECT, _FLAGRANT),
)

RULES = RuleSet(
    name="ncaa-men",
    title="NCAA men",
    periods=2,
    period_name="half",
    period_ms=20 * 60_000,
    overtime_ms=5 * 60_000,
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
            PlayerLimit(1, frozenset({"flagrant"}), "a flagrant 2 foul", _CLASSES),
            PlayerLimit(
                2, frozenset({"technical"}), "two class A technical fouls", _CLASSES
            ),
            PlayerLimit(
                3,
                frozenset({"technical", "technical_b"}),
                "three technical fouls of classes A and B",
                _CLASSES,
            ),
            PlayerLimit(
                3,
                frozenset({"flagrant_one"}),
                "three flagrant 1 fouls",
                second_hand("Rule 10, since 2023-24"),
            ),
        ),
        coach_limits=(
            CoachLimit(1, frozenset({_OUT}), "a flagrant 2 foul", _CLASSES),
            CoachLimit(
                2, frozenset({_DIRECT}), "two class A technical fouls", _CLASSES
            ),
            CoachLimit(
                3,
                frozenset({_DIRECT, _INDIRECT}),
                "three technical fouls of classes A and B",
                _CLASSES,
            ),
        ),
        periods_per_span=1,
        overtime_joins_last=True,
        bonus=(
            BonusStep(7, Award.ONE_AND_ONE, read("major rules differences 2020-21")),
            BonusStep(10, Award.TWO_SHOTS, read("major rules differences 2020-21")),
        ),
    ),
    time_outs=TimeOutRules(
        full_ms=60_000,
        short_ms=30_000,
        game=Allowance(full=1, short=3),
        into_second_half=CarryOver(full=_ALL, short=2, total=_ALL),
        second_half=Allowance(full=0, short=0),
        into_overtime=CarryOver(full=_ALL, short=_ALL, total=_ALL),
        overtime=Allowance(full=0, short=1),
        late_limit=None,
        signals_left_ms=(15_000, 0),
    ),
    roster=RosterRules(ShirtNumbers.UP_TO_99, both_noughts=False, most_players=None),
    arrow=ArrowRules(later_periods=Opening.ARROW, overtimes=Opening.JUMP_BALL),
    playing_time=PlayingTimeRules(()),
    closed_by="the end of the officials' jurisdiction",
    sources={
        "periods": read("5-6-1 (2011-13 book)"),
        "period_name": read("5-6-1 (2011-13 book)"),
        "period_ms": read("5-6-1 (2011-13 book)"),
        "overtime_ms": read("5-6-1 (2011-13 book)"),
        "intervals.between_ms": unknown("a half has no periods within it"),
        "intervals.half_time_ms": read("5-6-1 (2011-13 book)"),
        "intervals.before_overtime_ms": read("5-6-1 (2011-13 book)"),
        "intervals.signals_left_ms": read("2-10 (about 2010)"),
        "intervals.half_signals_left_ms": read("2-10 (about 2010)"),
        "fouls.player_limit": read("Rule 10 (2008)"),
        "fouls.periods_per_span": read("major rules differences 2020-21"),
        "fouls.overtime_joins_last": memory(),
        "time_outs.full_ms": read("5-14.10 (2019-20)"),
        "time_outs.short_ms": read("5-14.10 (2019-20)"),
        "time_outs.game": read("5-14.10 (2019-20)"),
        "time_outs.into_second_half": read("5-14.10 (2019-20)"),
        "time_outs.second_half": read("5-14.10 (2019-20)"),
        "time_outs.into_overtime": read("5-14.10 (2019-20)"),
        "time_outs.overtime": read("5-14.10 (2019-20)"),
        "time_outs.late_limit": read("5-14.10 (2019-20)"),
        "time_outs.signals_left_ms": read("2-10 (about 2010)"),
        "roster.numbers": second_hand("NCAA, 8 June 2023, for 2023-24"),
        "roster.both_noughts": second_hand("NCAA, 8 June 2023, for 2023-24"),
        "roster.most_players": unknown(),
        "arrow.later_periods": memory("Rule 6"),
        "arrow.overtimes": memory("Rule 6"),
        "closed_by": memory("2-11/2-12"),
    },
)
