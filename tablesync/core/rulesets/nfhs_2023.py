"""NFHS Basketball Rules, from season 2023-24 on: bonus by quarter."""

from __future__ import annotations

from tablesync.core.acts import Charged
from tablesync.core.rules import RuleSet

__all__ = ["RULES"]

RULES = RuleSet(
    name="nfhs-2023",
    title="NFHS from 2023-24 on",
    periods=4,  # 5-5-1
    period_name="quarter",
    period_ms=8 * 60_000,  # 5-5-1
    overtime_ms=4 * 60_000,  # 5-7-3
    # 4-8-1 and 10-5, from memory: technicals of the bench and the coach's own count.
    team_foul_charges=frozenset(Charged),
)
