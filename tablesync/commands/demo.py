"""`tablesync demo`."""

from __future__ import annotations

import sys
from importlib.resources import as_file, files

import click

__all__ = ["command"]


@click.command("demo")
@click.option("--fast", is_flag=True, help="Without waiting between the entries.")
def command(*, fast: bool) -> None:
    """Watch a quarter of a game with one slip.

    A basket is missed on the board; the table is told, the timer adds it, and the
    records agree again. Both seats and the relay are real, on this machine alone.
    """
    from tablesync.play.telling import at_reading_pace, play_as_account
    from tablesync.scenario import read_scenario

    with as_file(files("tablesync") / "demo.jsonl") as path:
        scenario = read_scenario(path)
    unmet = play_as_account(scenario) if fast else at_reading_pace(scenario)
    sys.exit(1 if unmet else 0)
