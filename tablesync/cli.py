"""The command line: arguments in, exit status out, and nothing of the game itself.

Each command imports what it needs when it runs, so that `--help` stays quick.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tablesync import __version__
from tablesync.errors import TableSyncError

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["main"]

BAD_INPUT = 2
FAULT_FOUND = 1

FILE = click.Path(path_type=Path)
EXAMPLES = """\
Examples:

\b
  tablesync demo                      watch a slip being found and put right
  tablesync play GAME.jsonl           play a scenario and read the account
  tablesync play GAME.jsonl --json    the same for a program
  tablesync relay --store games.db    gather the entries of many tables
"""


class _ExamplesFirst(click.Group):
    """A group whose help opens with examples."""

    def format_help(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        self.format_help_text(ctx, formatter)
        self.format_usage(ctx, formatter)
        self.format_options(ctx, formatter)


@click.group(
    cls=_ExamplesFirst,
    help=f"Two officials, two records of one game, compared as they are written."
    f"\n\n{EXAMPLES}",
    context_settings={"help_option_names": ["-h", "--help"]},
)
@click.version_option(__version__, prog_name="tablesync")
def _tablesync() -> None:
    pass


@_tablesync.command()
@click.argument("file", type=FILE)
@click.option("--json", "as_json", is_flag=True, help="JSON Lines on standard output.")
def play(file: Path, *, as_json: bool) -> None:
    """Play a scenario FILE through a relay and two devices.

    Prints a readable account of the game, findings set off, and the box score. Exits
    with 1 where something that the scenario expects does not hold.
    """
    from tablesync import playing

    sys.exit(FAULT_FOUND if playing.play_file(file, as_json=as_json) else 0)


@_tablesync.command()
@click.option("--fast", is_flag=True, help="Without waiting between the entries.")
def demo(*, fast: bool) -> None:
    """Watch a quarter in which a basket is missed on the board, found and put right."""
    from tablesync import playing

    sys.exit(FAULT_FOUND if playing.play_demo(fast=fast) else 0)


@_tablesync.command()
@click.option("--host", default="127.0.0.1", show_default=True, help="Address.")
@click.option("--port", default=8642, show_default=True, type=click.IntRange(0, 65535))
@click.option(
    "--store",
    default=Path("tablesync.db"),
    show_default=True,
    type=FILE,
    help="The file that keeps every game.",
)
def relay(host: str, port: int, store: Path) -> None:
    """Gather the entries of many tables, until Ctrl-C.

    A second Ctrl-C ends it at once.
    """
    from tablesync.server import run_relay

    run_relay(host, port, store)


def main(arguments: Sequence[str] | None = None) -> None:
    """Runs the command line and exits with its status.

    Exit status: 2 for usage and bad input, 1 for a fault found, 0 otherwise.
    """
    try:
        _tablesync.main(args=arguments, prog_name="tablesync")
    except TableSyncError as error:
        print(f"tablesync: {error}", file=sys.stderr)
        sys.exit(BAD_INPUT)
