"""`tablesync rules`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from collections.abc import Iterable

    from tablesync.rule_words import RuleLine

__all__ = ["command"]


@click.group("rules")
def command() -> None:
    """List the rule sets, show one with its sources, or check a league's rule file."""


@command.command("list")
def _list() -> None:
    """List the rule sets by name."""
    from tablesync.core.rulesets import RULE_SETS

    width = max(map(len, RULE_SETS))
    for rules in RULE_SETS.values():
        click.echo(f"{rules.name:<{width}}  {rules.title}")


@command.command("show")
@click.argument("name")
def _show(name: str) -> None:
    """Show every value of the rule set NAME, and where it comes from.

    Each stands as a rule file would set it. What is from memory or not established is
    said so.
    """
    from tablesync.core.rulesets import rule_set
    from tablesync.rule_words import rule_lines

    rules = rule_set(name)
    click.echo(f"{rules.name}: {rules.title}")
    _print_lines(rule_lines(rules))


@command.command("check")
@click.argument("file", type=click.Path(path_type=Path))
def _check(file: Path) -> None:
    """Check a league's rule FILE, and show what the league has set.

    Ends with 2 and one sentence where the file is wrong.
    """
    from tablesync.errors import RuleFileError
    from tablesync.rule_file import read_rule_file
    from tablesync.rule_words import own_lines

    try:
        content = file.read_text(encoding="utf-8")
    except OSError as error:
        what = f"can't be read ({error.strerror})"
        raise RuleFileError(str(file), what, "a rule file") from error
    except UnicodeDecodeError as error:
        raise RuleFileError(str(file), "is no UTF-8 text", "a rule file") from error
    rules = read_rule_file(content, str(file))
    click.echo(f"{file} is sound: {rules.name}, {rules.title}")
    _print_lines(own_lines(rules))


def _print_lines(lines: Iterable[RuleLine]) -> None:
    from rich.console import Console
    from rich.table import Table

    table = Table()
    table.add_column("rule", no_wrap=True)
    table.add_column("value")
    table.add_column("source")
    for line in lines:
        table.add_row(line.key, line.value, str(line.source))
    Console(markup=False, highlight=False).print(table)
