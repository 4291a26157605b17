"""FIBA Official Basketball Rules, edition 2024, for games from 1 October 2024."""

from __future__ import annotations

from tablesync.core.acts import Charged
from tablesync.core.rules import RuleSet

__all__ = ["RULES"]

RULES = RuleSet(
    name="fiba-2024",
    title="FIBA 2024",
    periods=4,  # Art. 8.1
    period_name="quarter",
    period_ms=10 * 60_000,  # Art. 8.1
    overtime_ms=5 * 60_000,  # Art. 8.5-8.7
    # Art. 41.1.1: fouls of players; what is charged to coach and bench is no team foul.
    team_foul_charges=frozenset({Charged.PLAYER}),
)
