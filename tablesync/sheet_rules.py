"""The rules of a game, by its sheet.

What reads a league's own rules is imported when a sheet has some.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.rulesets import rule_set

if TYPE_CHECKING:
    from tablesync.core.rules import RuleSet
    from tablesync.core.sheet import GameSheet

__all__ = ["rules_of"]


def rules_of(sheet: GameSheet) -> RuleSet:
    """The rules of a game: the set that its sheet names, or the sheet's own.

    Raises:
        RuleFileError: there is no such set, or the sheet's rules are wrong.
    """
    if not sheet.rule_text:
        return rule_set(sheet.rules)
    from tablesync.rule_file import read_rule_file

    return read_rule_file(sheet.rule_text, "the game sheet's rules")
