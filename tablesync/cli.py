"""The command line: which commands there are, and the exit status.

A command is a module in `commands/` and a line in `COMMANDS`. It is imported when it
runs, so that `--help` stays quick.
"""

from __future__ import annotations

import sys
from importlib import import_module
from keyword import iskeyword
from typing import TYPE_CHECKING

import click

from tablesync import __version__
from tablesync.errors import TableSyncError

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["COMMANDS", "main"]

BAD_INPUT = 2

COMMANDS = {
    "box": "Print the box score of a game.",
    "courts": "Watch all courts of a relay, worst first.",
    "demo": "Watch a slip being found and put right.",
    "director": "Open the window with all courts of a relay.",
    "dispute": "Report the facts about a mismatch of a recorded game.",
    "export": "Write a stored game into a record file.",
    "games": "List, archive or delete the games of a store.",
    "import": "Take a record file into a store.",
    "invite": "Give out a seat at a relay.",
    "play": "Play a scenario and read the account of the game.",
    "relay": "Gather the entries of many tables.",
    "replay": "Go through a recorded game again, moment by moment.",
    "rules": "List, show and check rule sets.",
    "seat": "Open the window of one seat: book or clock.",
    "sheet": "Print the score sheet of a game.",
    "table": "Open a relay and both seats' windows on this machine.",
    "verify": "Say whether a record file is sound, and what it shows.",
}
"""Each command's name and what it is for; `commands.<name>.command` does it."""

EXAMPLES = """\
\b
Examples:
  tablesync demo                      watch a slip being found and put right
  tablesync play GAME.jsonl           play a scenario and read the account
  tablesync play GAME.jsonl --json    the same for a program
  tablesync relay --store games.db    gather the entries of many tables
  tablesync export games.db GAME OUT  write a stored game into a record file
  tablesync verify OUT                say whether it is sound, and what it shows
"""


class _Commands(click.Group):
    """The commands by name, with a help that opens with examples."""

    def list_commands(self, _ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, _ctx: click.Context, name: str) -> click.Command | None:
        if name not in COMMANDS:
            return None
        # A word of the language can't name a module.
        file = f"{name}_file" if iskeyword(name) else name
        module = import_module(f"tablesync.commands.{file}")
        command: click.Command = module.command
        return command

    def format_help(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        self.format_help_text(ctx, formatter)
        self.format_usage(ctx, formatter)
        self.format_options(ctx, formatter)

    def format_commands(
        self, _ctx: click.Context, formatter: click.HelpFormatter
    ) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))


@click.command(
    cls=_Commands,
    help="Two officials keep one game twice; both records are compared as they are "
    f"written.\n\n{EXAMPLES}",
    context_settings={"help_option_names": ["-h", "--help"]},
)
@click.version_option(__version__, prog_name="tablesync")
def _tablesync() -> None:
    pass


def main(arguments: Sequence[str] | None = None) -> None:
    """Runs the command line and exits with its status.

    Exit status: 2 for usage and bad input, 1 for a fault found, 0 otherwise.
    """
    try:
        _tablesync.main(args=arguments, prog_name="tablesync")
    except TableSyncError as error:
        print(f"tablesync: {error}", file=sys.stderr)
        sys.exit(BAD_INPUT)
