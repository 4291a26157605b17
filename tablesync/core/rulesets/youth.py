"""A youth league's own rules, as the Saltmarsh Community League plays them.

High-school rules with the older bonus, short quarters, and playing-time rules.
"""

from __future__ import annotations

from dataclasses import replace

from tablesync.core.playing_time import PlayingTimeRule, PlayingTimeRules
from tablesync.core.roster_rules import RosterRules, ShirtNumbers
from tablesync.core.rulesets import nfhs_2022
from tablesync.core.sources import league, read

__all__ = ["RULES"]

_BASE = nfhs_2022.RULES

RULES = replace(
    _BASE,
    name="youth",
    title="Youth, Saltmarsh Community League",
    period_ms=6 * 60_000,
    overtime_ms=3 * 60_000,
    # Children wear the shirts that there are.
    roster=RosterRules(ShirtNumbers.UP_TO_99, both_noughts=True, most_players=15),
    playing_time=PlayingTimeRules(
        (
            # Five fill the court, and with six nobody can be spared for long.
            PlayingTimeRule(6, whole=2, most=4, out=0, source=league()),
            PlayingTimeRule(7, whole=2, most=3, out=1, source=league()),
            # Twenty places a game are not two whole periods for each of eleven.
            PlayingTimeRule(11, whole=1, most=3, out=1, source=league()),
        )
    ),
    closed_by="the referee's signature",
    sources={
        **_BASE.sources,
        "period_ms": read("5-5-2, for pupils below 9th grade"),
        "overtime_ms": read("5-7-3, half of a quarter below varsity"),
        "roster.numbers": league(),
        "roster.both_noughts": league(),
        "roster.most_players": league(),
        "closed_by": league(),
    },
)
