"""NFHS Basketball Rules before season 2023-24: one-and-one, by half."""

from __future__ import annotations

from dataclasses import replace

from tablesync.core.foul_rules import Award, BonusStep
from tablesync.core.rulesets import nfhs_2023
from tablesync.core.sources import memory, read

__all__ = ["RULES"]

_BASE = nfhs_2023.RULES

RULES = replace(
    _BASE,
    name="nfhs-2022",
    title="NFHS until 2022-23",
    fouls=replace(
        _BASE.fouls,
        periods_per_span=2,
        bonus=(
            BonusStep(7, Award.ONE_AND_ONE, read("4-8-1 (before 2023-24)")),
            BonusStep(10, Award.TWO_SHOTS, read("4-8-1 (before 2023-24)")),
        ),
    ),
    sources={
        **_BASE.sources,
        "fouls.periods_per_span": read("4-8-1 (before 2023-24)"),
        "fouls.overtime_joins_last": memory("4-8-1 (before 2023-24)"),
    },
)
