"""`tablesync table`."""

from __future__ import annotations

import sys
from pathlib import Path

import click

__all__ = ["command"]


@click.command("table")
@click.argument("file", type=click.Path(path_type=Path))
def command(file: Path) -> None:
    """Open a relay and both seats' windows on this machine.

    FILE is a game sheet or a scenario that says who plays; the acts of a scenario are
    not entered. What is entered is
    gone when the windows are closed: it is to try the table.
    """
    from tablesync.commands.screens import require_screens
    from tablesync.game_file import sheet_at

    sheet_at(file)
    require_screens()
    from mobile.main import open_table

    sys.exit(open_table(file))
