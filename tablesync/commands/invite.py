"""`tablesync invite`."""

from __future__ import annotations

import asyncio
from pathlib import Path

import click

from tablesync.core.acts import Seat

__all__ = ["command"]

WATCH = "watch"


@click.command("invite")
@click.argument("seat", type=click.Choice([*(one.value for one in Seat), WATCH]))
@click.option(
    "--game",
    type=click.Path(path_type=Path),
    help="The game sheet or scenario; may be left out for `watch`, which is then for "
    "every game.",
)
@click.option(
    "--store",
    default=Path("tablesync.db"),
    show_default=True,
    type=click.Path(path_type=Path),
    help="The relay's store.",
)
@click.option("--host", default="0.0.0.0", help="Where the relay listens.")
@click.option("--port", default=8642, show_default=True, type=click.IntRange(1, 65535))
@click.option(
    "--replace",
    "replacing",
    is_flag=True,
    help="The new device takes the place of the one that has the seat; without this an "
    "official of another seat or the director has to confirm that.",
)
def command(
    seat: str, game: Path | None, store: Path, host: str, port: int, *, replacing: bool
) -> None:
    """Give out a seat of a game at a relay on this machine, running or not.

    SEAT is a seat, or `watch` to look on, which enters nothing. Who looks on at every
    game is the director, who may let in a device that replaces another.
    """
    from tablesync.game_file import sheet_at
    from tablesync.relay_program import Place, invite

    if game is None and seat != WATCH:
        raise click.UsageError("a seat is one of a game: name it with --game")
    place = Place(host, port, store)
    sheet = None if game is None else sheet_at(game)
    at = None if seat == WATCH else Seat(seat)
    click.echo(asyncio.run(invite(place, sheet, at, replacing=replacing)))
