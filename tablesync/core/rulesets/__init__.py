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

_NAMES = ("fiba-2024", "nfhs-2023", "nfhs-2022", "ncaa-men", "ncaa-women", "youth")
"""Each set's module has its name, with underscores."""


class _RuleSets(Mapping[str, "RuleSet"]):
    """All of them by name."""

    def __getitem__(self, name: str) -> RuleSet:
        if name not in self:
            raise KeyError(name)
        module = import_module(f"{__name__}.{name.replace('-', '_')}")
        rules: RuleSet = module.RULES
        return rules

    def __contains__(self, name: object) -> bool:
        return name in _NAMES

    def __iter__(self) -> Iterator[str]:
        return iter(_NAMES)

    def __len__(self) -> int:
        return len(_NAMES)


RULE_SETS: Mapping[str, RuleSet] = _RuleSets()


def rule_set(name: str) -> RuleSet:
    """The rule set of that name.

    Raises:
        RuleFileError: there is none.
    """
    if name not in RULE_SETS:
        raise RuleFileError("rules", f"no rule set {name!r}", ", ".join(RULE_SETS))
    return RULE_SETS[name]
