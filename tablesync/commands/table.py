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

    FILE is a scenario that says who plays; its acts are not entered. What is entered is
    gone when the windows are closed: it is to try the table.
    """
    from tablesync.commands.screens import require_screens
    from tablesync.scenario import read_scenario

    read_scenario(file)
    require_screens()
    from mobile.main import open_table

    sys.exit(open_table(file))
