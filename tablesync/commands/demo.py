"""`tablesync demo`."""

from __future__ import annotations

import sys
from importlib.resources import as_file, files
from pathlib import Path
from tempfile import TemporaryDirectory

import click

__all__ = ["command"]

CORRECTION = '"label": "added"'
"""The entry that puts the slip right: in the windows that is left to who looks on."""
BEFOREHAND = """\
Two windows open, the book and the clock, and play the first minutes of a quarter.
One basket is missed on the board: when both seats are told so, touch the key of the
card at the clock seat that adds it. Then go on by hand, or close both windows.
"""


@click.command("demo")
@click.option("--fast", is_flag=True, help="In the terminal, without waiting.")
@click.option(
    "--terminal", is_flag=True, help="In the terminal, though it has a screen."
)
def command(*, fast: bool, terminal: bool) -> None:
    """Watch a quarter of a game with one slip.

    A basket is missed on the board, the table is told, and the records agree again.
    Both seats and the relay are real, on this machine alone. Where there is a display
    and the screens are installed, both seats' windows open and play; else it is told
    here.
    """
    from tablesync.commands.screens import why_no_screens

    with as_file(files("tablesync") / "demo.jsonl") as path:
        if fast or terminal or why_no_screens() is not None:
            _tell(path, fast=fast)
        else:
            _show(path)


def _tell(path: Path, *, fast: bool) -> None:
    from tablesync.play.telling import at_reading_pace, play_as_account
    from tablesync.scenario import read_scenario

    scenario = read_scenario(path)
    unmet = play_as_account(scenario) if fast else at_reading_pace(scenario)
    sys.exit(1 if unmet else 0)


def _show(path: Path) -> None:
    from mobile.table_windows import Table, open_table

    click.echo(BEFOREHAND, err=True)
    with TemporaryDirectory(prefix="tablesync-") as folder:
        script = Path(folder) / path.name
        lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
        script.write_text(
            "".join(line for line in lines if CORRECTION not in line), encoding="utf-8"
        )
        sys.exit(open_table(Table(path, script=script), lambda _: None))
