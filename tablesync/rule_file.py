"""A league's own rule file: a rule set by name, and what the league has otherwise.

::

    base = "nfhs-2022"
    name = "county-under-14"
    title = "County league, under 14"

    [periods]
    length_s = 360

    [fouls]
    bonus = [{ from_count = 7, award = "one_and_one" }]

What the file does not set is the base's. A list replaces the base's list. Nothing is
passed over: an unknown key, a wrong type and a value that makes no sense are refused.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import replace
from reprlib import repr as brief
from typing import TYPE_CHECKING

from tablesync.core.acts import Charged
from tablesync.core.rulesets import RULE_SETS
from tablesync.core.sources import league
from tablesync.errors import FieldError, RuleFileError
from tablesync.rule_settings import SETTINGS

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from tablesync.core.rules import RuleSet

__all__ = ["read_rule_file"]

_SETTING_BY_KEY = {setting.key: setting for setting in SETTINGS}
_TABLES = {key.partition(".")[0] for key in _SETTING_BY_KEY if "." in key}
_HEAD = ("base", "name", "title")


def read_rule_file(content: str, where: str) -> RuleSet:
    """The rule set that a file describes.

    Args:
        content: the file as it stands, TOML.
        where: what to call it in an error.

    Raises:
        RuleFileError: it is wrong, with what was expected.
    """
    try:
        values = tomllib.loads(content)
    except tomllib.TOMLDecodeError as error:
        raise RuleFileError(where, f"it is no TOML ({error})", "TOML") from error
    try:
        rules = _head(values)
        for key, value in _settings(values):
            rules = _with(rules, key, value)
        _require_sense(rules)
    except FieldError as error:
        raise RuleFileError(where, error.what, error.expected) from error
    return rules


def _head(values: Mapping[str, object]) -> RuleSet:
    """The base under the file's own name and title."""
    head = {key: values.get(key) for key in _HEAD}
    for key, value in head.items():
        if not isinstance(value, str) or not 0 < len(value) <= 80:
            was = "is missing" if value is None else f"is {brief(value)}"
            raise FieldError(f"{key} {was}", "text of 1 to 80 characters")
    base, name, title = (str(head[key]) for key in _HEAD)
    if base not in RULE_SETS:
        raise FieldError(f"base is {base!r}", ", ".join(RULE_SETS))
    if name in RULE_SETS or not re.fullmatch(r"[a-z0-9-]{1,40}", name):
        raise FieldError(
            f"name is {name!r}", "a new name of small letters, digits and hyphens"
        )
    return replace(RULE_SETS[base], name=name, title=title)


def _settings(values: Mapping[str, object]) -> Iterator[tuple[str, object]]:
    """The file's keys with their tables, and their values."""
    for key, value in values.items():
        if key in _HEAD:
            continue
        if key not in _TABLES:
            yield key, value
        elif isinstance(value, dict):
            for inner, item in value.items():
                yield f"{key}.{inner}", item
        else:
            raise FieldError(f"{key} is {brief(value)}", f"a table [{key}]")


def _with(rules: RuleSet, key: str, value: object) -> RuleSet:
    """The rules with one setting of the file."""
    setting = _SETTING_BY_KEY.get(key)
    if setting is None:
        raise FieldError(f"there is no key {key}", f"one of {_neighbours(key)}")
    try:
        accepted = setting.read(value)
    except ValueError:
        raise FieldError(f"{key} is {brief(value)}", setting.expected) from None
    except FieldError as error:
        raise FieldError(f"in {key} {error.what}", error.expected) from None
    group, _, field = setting.path.rpartition(".")
    if group:
        inner = replace(getattr(rules, group), **{field: accepted})
        changed = replace(rules, **{group: inner})
    else:
        changed = replace(rules, **{field: accepted})  # type: ignore[arg-type]
    if setting.path not in rules.sources:
        return changed
    return replace(changed, sources={**rules.sources, setting.path: league()})


def _neighbours(key: str) -> str:
    """The keys of the same table, or all that stand outside the tables."""
    table, _, _ = key.rpartition(".")
    alike = [k for k in _SETTING_BY_KEY if k.rpartition(".")[0] == table]
    if not table:
        alike = [*_HEAD, *alike, *(f"[{name}]" for name in sorted(_TABLES))]
    return ", ".join(alike)


def _require_sense(rules: RuleSet) -> None:
    """What each can be must also go together."""
    fouls = rules.fouls
    for charged in Charged:
        if not any(rule.charged is charged for rule in fouls.kinds):
            raise FieldError(
                f"fouls.kinds has none charged to the {charged}", "at least one"
            )
    for limit in fouls.player_limits:
        if not all(fouls.rule(Charged.PLAYER, str(kind)) for kind in limit.kinds):
            raise FieldError(
                f"fouls.player_limits names {', '.join(sorted(limit.kinds))}",
                "kinds of foul that a player can have",
            )
    counts = [step.from_count for step in fouls.bonus]
    if counts != sorted(set(counts)):
        raise FieldError(f"fouls.bonus counts {counts}", "rising counts")
    if fouls.periods_per_span * 2 > rules.periods:
        raise FieldError(
            f"fouls.periods_per_span is {fouls.periods_per_span}",
            f"1, where there are {rules.periods} periods",
        )
    present = [rule.least_present for rule in rules.playing_time.by_present]
    if present != sorted(set(present)):
        raise FieldError(
            f"playing_time.by_present begins at {present}", "rising numbers present"
        )
