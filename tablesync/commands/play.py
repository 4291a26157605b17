"""`tablesync play`."""

from __future__ import annotations

import sys
from pathlib import Path

import click

__all__ = ["command"]


@click.command("play")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="JSON Lines on standard output.")
def command(file: Path, *, as_json: bool) -> None:
    """Play a scenario FILE through a relay and two devices.

    Prints an account of the game with its findings set off, and the box score. Exits
    with 1 where something that the scenario expects does not hold.
    """
    from tablesync.play.telling import play_as_account, play_as_json
    from tablesync.scenario import read_scenario

    scenario = read_scenario(file)
    unmet = play_as_json(scenario) if as_json else play_as_account(scenario)
    sys.exit(1 if unmet else 0)
