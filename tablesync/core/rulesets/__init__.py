"""Rule sets as data, one code and edition a module."""

from __future__ import annotations

from tablesync.core.rulesets import fiba_2024

__all__ = ["RULE_SETS"]

RULE_SETS = {rules.name: rules for rules in (fiba_2024.RULES,)}
