"""Rule sets as data, one code and edition a module."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.rulesets import (
    fiba_2024,
    ncaa_men,
    ncaa_women,
    nfhs_2022,
    nfhs_2023,
    youth,
)
from tablesync.errors import RuleFileError

if TYPE_CHECKING:
    from tablesync.core.rules import RuleSet

__all__ = ["RULE_SETS", "rule_set"]

RULE_SETS: dict[str, RuleSet] = {
    module.RULES.name: module.RULES
    for module in (fiba_2024, nfhs_2023, nfhs_2022, ncaa_men, ncaa_women, youth)
}


def rule_set(name: str) -> RuleSet:
    """The rule set of that name.

    Raises:
        RuleFileError: there is none.
    """
    if name not in RULE_SETS:
        raise RuleFileError("rules", f"no rule set {name!r}", ", ".join(RULE_SETS))
    return RULE_SETS[name]
