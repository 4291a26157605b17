"""`tablesync export`."""

from __future__ import annotations

import asyncio
from pathlib import Path

import click

__all__ = ["command"]


@click.command("export")
@click.argument("store", type=click.Path(path_type=Path))
@click.argument("game")
@click.argument("out", type=click.Path(path_type=Path))
def command(store: Path, game: str, out: Path) -> None:
    """Write a GAME of a relay's STORE into a new record file OUT.

    GAME is the start of the game's id; see `tablesync games`. The file needs nothing
    else to be verified, replayed and reported from.
    """
    from tablesync.record.path import write_new

    data = asyncio.run(_exported(store, game))
    write_new(out, data)
    click.echo(f"The record is in {out}.", err=True)


async def _exported(path: Path, name: str) -> bytes:
    from tablesync.stored_games import export_game, game_named, opened_store

    async with await opened_store(path) as store:
        return await export_game(store, await game_named(store, name))
