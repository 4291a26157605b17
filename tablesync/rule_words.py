"""A rule set written out: each value as a rule file would have it, and its source."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from operator import attrgetter
from typing import TYPE_CHECKING

from tablesync.core.sources import Source, Sureness
from tablesync.frozen import dataclass
from tablesync.rule_settings import SETTINGS

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tablesync.core.rules import RuleSet
    from tablesync.rule_settings import Setting

__all__ = ["RuleLine", "own_lines", "rule_lines"]


@dataclass(frozen=True, slots=True)
class RuleLine:
    """One value; of a list of rows, one row."""

    key: str
    """The key of a rule file that sets it."""
    value: str
    source: Source


def rule_lines(rules: RuleSet) -> tuple[RuleLine, ...]:
    """Every value of a rule set, in the order of the settings."""
    return tuple(line for setting in SETTINGS for line in _lines(rules, setting))


def own_lines(rules: RuleSet) -> tuple[RuleLine, ...]:
    """The values that a league has set for itself, or that its base had so."""
    lines = rule_lines(rules)
    return tuple(line for line in lines if line.source.sureness is Sureness.LEAGUE)


def _lines(rules: RuleSet, setting: Setting) -> Iterator[RuleLine]:
    value = attrgetter(setting.path)(rules)
    if setting.path in rules.sources:
        in_seconds = setting.path.endswith("_ms")
        words = _seconds(value) if in_seconds else _words(value)
        yield RuleLine(setting.key, words, rules.sources[setting.path])
    else:
        for row in value:
            yield RuleLine(setting.key, _words(row), row.source)


def _words(value: object) -> str:
    match value:
        case None:
            return "none"
        case bool():
            return "true" if value else "false"
        case str():
            return f'"{value}"'
        case frozenset():
            return _words(tuple(sorted(value)))
        case tuple():
            return f"[{', '.join(map(_words, value))}]"
        case _ if is_dataclass(value):
            return _row(value)
        case _:
            return str(value)


def _row(row: object) -> str:
    cells = []
    for field in fields(row):  # type: ignore[arg-type]
        value = getattr(row, field.name)
        if field.name.endswith("_ms"):
            cells.append(f"{field.name.removesuffix('_ms')}_s = {_seconds(value)}")
        elif field.name != "source":
            cells.append(f"{field.name} = {_words(value)}")
    return f"{{ {', '.join(cells)} }}"


def _seconds(time_ms: object) -> str:
    match time_ms:
        case int():
            return f"{time_ms / 1000:g}"
        case tuple():
            return f"[{', '.join(map(_seconds, time_ms))}]"
        case _:
            return _words(time_ms)
