"""`tablesync table`."""

from __future__ import annotations

import sys
from pathlib import Path

import click

__all__ = ["command"]


@click.command("table")
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--keep",
    type=click.Path(file_okay=False, path_type=Path),
    help="The folder in which everything stays, to go on with it; without one, all is "
    "gone when the windows are closed.",
)
@click.option(
    "--host",
    default="127.0.0.1",
    show_default=True,
    help="Address of this machine itself, where a director on it can join. Other "
    "machines need `tablesync relay`, which encrypts.",
)
@click.option(
    "--port",
    default=0,
    type=click.IntRange(0, 65535),
    help="Its port; without one a free port is taken.",
)
def command(file: Path, keep: Path | None, host: str, port: int) -> None:
    """Open a relay and both seats' windows on this machine.

    FILE is a game sheet or a scenario that says who plays; the acts of a scenario are
    not entered. To try the table, or for a table with one laptop: then say where to
    keep the game.
    """
    from tablesync.commands.screens import require_screens
    from tablesync.game_file import sheet_at

    sheet_at(file)
    require_screens()
    from mobile.table_windows import Table, open_table

    def told(address: str) -> None:
        click.echo(f"The table's relay listens at {address}.", err=True)

    sys.exit(open_table(Table(file, keep, host, port), told))
