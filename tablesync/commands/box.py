"""`tablesync box`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from tablesync.core.game import Game

__all__ = ["command"]


@click.command("box")
@click.argument("game", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="One JSON object.")
@click.option("--csv", "as_csv", is_flag=True, help="A line a player, under a header.")
def command(game: Path, *, as_json: bool, as_csv: bool) -> None:
    """Print the box score of a GAME: a record or a scenario.

    By the scorer's book: points by period; each player's points, goals, free throws,
    fouls, and how much of each period they played.
    """
    from tablesync.errors import BadInputError
    from tablesync.game_file import game_at

    if as_json and as_csv:
        raise BadInputError("box", "--json and --csv were both given", "one of them")
    filed = game_at(game)
    for fault in filed.faults:
        click.echo(f"{game}: {fault}", err=True)
    if as_json:
        import json

        from tablesync.box_values import box_values

        click.echo(json.dumps(box_values(filed.game), ensure_ascii=False))
    elif as_csv:
        from tablesync.box_values import box_csv

        click.echo(box_csv(filed.game), nl=False)
    else:
        _print_tables(filed.game)


def _print_tables(game: Game) -> None:
    from rich.console import Console

    from tablesync.box_score import RULINGS_PREVAIL, box_score, score_by_period
    from tablesync.core.acts import Side

    console = Console()
    console.print(score_by_period(game))
    for side in Side:
        console.print()
        console.print(box_score(game, side))
    for finding in game.open_findings():
        console.print(f"\nBook and board differ: {finding.text}.", markup=False)
    console.print(f"\n{RULINGS_PREVAIL}")
