"""What a scenario's header and a game sheet say alike: the rules and the officials."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.rulesets import RULE_SETS
from tablesync.core.sheet import Official
from tablesync.strict_object import shown

if TYPE_CHECKING:
    from pathlib import Path

    from tablesync.core.rules import RuleSet
    from tablesync.strict_object import StrictObject

__all__ = ["take_officials", "take_rules"]


def take_rules(header: StrictObject, folder: Path) -> tuple[RuleSet, str]:
    """Takes `rules`, a rule set by name or a rule file by its path.

    Args:
        header: the object that it is taken from.
        folder: where a relative path begins.

    Returns:
        The rules, and the text of the rule file where they are a league's own.

    Raises:
        BadInputError: there are no such rules; a RuleFileError where the file is wrong.
    """
    name = header.text("rules")
    if name in RULE_SETS:
        return RULE_SETS[name], ""
    rule_file = folder / name
    if rule_file.suffix != ".toml":
        known = ", ".join(sorted(RULE_SETS))
        what = f"there is no rule set {name!r}"
        raise header.refusal(what, f"{known}, or a rule file's path", "rules")
    try:
        text = rule_file.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        what = f"{rule_file} can't be read"
        raise header.refusal(what, "a rule file", "rules") from error
    from tablesync.rule_file import read_rule_file

    return read_rule_file(text, str(rule_file)), text


def take_officials(header: StrictObject) -> tuple[Official, ...]:
    """Takes `officials`, which may be absent.

    Raises:
        BadInputError: it is neither a list of names nor an object of role and name.
    """
    if "officials" not in header:
        return ()
    expected = "a list of names, or an object of role and name"
    value = header.take("officials", expected)
    match value:
        case list() if all(isinstance(name, str) for name in value):
            return tuple(Official("", name) for name in value)
        case dict() if all(isinstance(name, str) for name in value.values()):
            return tuple(Official(role, name) for role, name in value.items())
        case _:
            raise header.refusal(f"officials is {shown(value)}", expected, "officials")
