"""FIBA Official Basketball Rules, edition 2024, for games from 1 October 2024.

Where only the text of another edition was read, the source names that edition.
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
from tablesync.core.sources import Source, memory, read, second_hand
from tablesync.core.time_out_rules import (
    Allowance,
    CarryOver,
    LateLimit,
    TimeOutRules,
)

__all__ = ["RULES"]

_PLAYER, _COACH, _BENCH = Charged.PLAYER, Charged.COACH, Charged.BENCH
_DIRECT, _INDIRECT, _OUT = CoachCharge.DIRECT, CoachCharge.INDIRECT, CoachCharge.OUT
_COUNT, _NEVER, _OWN = Penalty.BY_COUNT, Penalty.NEVER_SHOTS, Penalty.OWN
_TEAM = memory("Art. 41.1.1")
_GD = read("Art. 36/37, 40.4")
_NO_TEAM = read("Art. 41, Annex B (older sheet)")


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
        charged, kind, title, letter, _OWN, source, to_team=False, to_coach=to_coach
    )


_KINDS = (
    _of_player("personal", "P", _COUNT, _TEAM),
    _of_player("offensive", "P", _NEVER, read("Art. 41.2")),
    _of_player("technical", "T", _OWN, _TEAM),
    _of_player("unsportsmanlike", "U", _OWN, _TEAM),
    _of_player("disqualifying", "D", _OWN, _TEAM),
    _of_staff(_COACH, "technical", "C", _DIRECT, _NO_TEAM),
    _of_staff(_COACH, "disqualifying", "D", _OUT, memory("Art. 38")),
    _of_staff(_BENCH, "technical", "B", _INDIRECT, _NO_TEAM),
    # A person of the bench is out; the head coach is charged with a technical for it.
    _of_staff(_BENCH, "disqualifying", "B", _INDIRECT, read("Art. 38.2.4 (2022)")),
)

_FOULS = FoulRules(
    kinds=_KINDS,
    player_limit=5,
    player_limits=(
        PlayerLimit(
            1,
            frozenset({"disqualifying"}),
            "a disqualifying foul",
            memory("Art. 38"),
        ),
        PlayerLimit(2, frozenset({"technical"}), "two technical fouls", _GD),
        PlayerLimit(
            2, frozenset({"unsportsmanlike"}), "two unsportsmanlike fouls", _GD
        ),
        PlayerLimit(
            2,
            frozenset({"technical", "unsportsmanlike"}),
            "a technical and an unsportsmanlike foul",
            _GD,
        ),
    ),
    coach_limits=(
        CoachLimit(1, frozenset({_OUT}), "a disqualifying foul", memory("Art. 38")),
        CoachLimit(
            2,
            frozenset({_DIRECT}),
            "two technical fouls of the coach's own",
            read("Art. 36.3.4-36.3.5 (2017)"),
        ),
        CoachLimit(
            3,
            frozenset({_DIRECT, _INDIRECT}),
            "three technical fouls, the bench's included",
            second_hand("Art. 36.2.4 (2022)"),
        ),
    ),
    periods_per_span=1,
    overtime_joins_last=True,
    bonus=(BonusStep(5, Award.TWO_SHOTS, read("Art. 41")),),
)

_TIME_OUTS = TimeOutRules(
    full_ms=60_000,
    short_ms=0,
    game=Allowance(full=2, short=0),
    into_second_half=CarryOver(full=0, short=0, total=0),
    second_half=Allowance(full=3, short=0),
    into_overtime=CarryOver(full=0, short=0, total=0),
    overtime=Allowance(full=1, short=0),
    late_limit=LateLimit(number=2, remaining_ms=120_000),
    signals_left_ms=(10_000, 0),
)

RULES = RuleSet(
    name="fiba-2024",
    title="FIBA 2024",
    periods=4,
    period_name="quarter",
    period_ms=10 * 60_000,
    overtime_ms=5 * 60_000,
    intervals=IntervalRules(
        between_ms=2 * 60_000,
        half_time_ms=15 * 60_000,
        before_overtime_ms=2 * 60_000,
        signals_left_ms=(30_000, 0),
        half_signals_left_ms=(180_000, 90_000, 0),
    ),
    fouls=_FOULS,
    time_outs=_TIME_OUTS,
    roster=RosterRules(ShirtNumbers.UP_TO_99, both_noughts=True, most_players=12),
    arrow=ArrowRules(later_periods=Opening.ARROW, overtimes=Opening.ARROW),
    playing_time=PlayingTimeRules(()),
    closed_by="the crew chief's signature",
    sources={
        "periods": read("Art. 8.1 (2018 text)"),
        "period_name": read("Art. 8.1 (2018 text)"),
        "period_ms": read("Art. 8.1 (2018 text)"),
        "overtime_ms": read("Art. 8.5-8.7 (2018 text)"),
        "intervals.between_ms": read("Art. 8.2-8.4 (2018 text)"),
        "intervals.half_time_ms": read("Art. 8.2-8.4 (2018 text)"),
        "intervals.before_overtime_ms": read("Art. 8.2-8.4 (2018 text)"),
        "intervals.signals_left_ms": memory("Art. 49"),
        "intervals.half_signals_left_ms": memory("Art. 49"),
        "fouls.player_limit": memory("Art. 40"),
        "fouls.periods_per_span": read("Art. 41"),
        "fouls.overtime_joins_last": read("Art. 41"),
        "time_outs.full_ms": read("Art. 18.2.5 (2020 text)"),
        "time_outs.short_ms": read("Art. 18.2.5 (2020 text)"),
        "time_outs.game": read("Art. 18.2.5 (2020 text)"),
        "time_outs.into_second_half": memory("Art. 18.2.6"),
        "time_outs.second_half": read("Art. 18.2.5 (2020 text)"),
        "time_outs.into_overtime": memory("Art. 18.2.6"),
        "time_outs.overtime": read("Art. 18.2.5 (2020 text)"),
        "time_outs.late_limit": read("Art. 18.2.5 (2020 text)"),
        "time_outs.signals_left_ms": read("Art. 49"),
        "roster.numbers": memory("Art. 4.3.2"),
        "roster.both_noughts": memory("Art. 4.3.2"),
        "roster.most_players": read("Art. 4.2.1 (2020 text)"),
        "arrow.later_periods": memory("Art. 12"),
        "arrow.overtimes": memory("Art. 12"),
        "closed_by": read("Art. 44.2.6, 48.3 (2022)"),
    },
)
