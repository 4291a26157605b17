"""Rule sets as data, one code and edition a module.

A set is imported when it is first asked for: a game has one, and a seat's window waits
for no other.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from importlib import import_module
from typing import TYPE_CHECKING

from tablesync.errors import RuleFileError

if TYPE_CHECKING:
    from tablesync.core.rules import RuleSet

__all__ = ["RULE_SETS", "rule_set"]

_MODULES = {
    "fiba-2024": "fiba_2024",
    "nfhs-2023": "nfhs_2023",
    "nfhs-2022": "nfhs_2022",
    "ncaa-men": "ncaa_men",
    "ncaa-women": "ncaa_women",
    "youth": "youth",
}


class _RuleSets(Mapping[str, "RuleSet"]):
    """All of them by name."""

    def __getitem__(self, name: str) -> RuleSet:
        rules: RuleSet = import_module(f"{__name__}.{_MODULES[name]}").RULES
        return rules

    def __contains__(self, name: object) -> bool:
        return name in _MODULES

    def __iter__(self) -> Iterator[str]:
        return iter(_MODULES)

    def __len__(self) -> int:
        return len(_MODULES)


RULE_SETS: Mapping[str, RuleSet] = _RuleSets()


def rule_set(name: str) -> RuleSet:
    """The rule set of that name.

    Raises:
        RuleFileError: there is none.
    """
    if name not in RULE_SETS:
        raise RuleFileError("rules", f"no rule set {name!r}", ", ".join(RULE_SETS))
    return RULE_SETS[name]
