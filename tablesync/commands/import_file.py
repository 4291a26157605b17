"""`tablesync import`."""

from __future__ import annotations

import asyncio
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from tablesync.record.verification import OpenedRecord

__all__ = ["command"]


@click.command("import")
@click.argument("file", type=click.Path(path_type=Path))
@click.argument("store", type=click.Path(path_type=Path))
def command(file: Path, store: Path) -> None:
    """Take the game of a record FILE into a relay's STORE.

    The file is verified first, and refused where it has been changed. A store that is
    not there is made.
    """
    from tablesync.record.path import record_at

    opened = record_at(file)
    for fault in opened.faults:
        click.echo(f"{file}: {fault}", err=True)
    new = asyncio.run(_imported(store, opened))
    name = opened.game.hex()[:8]
    click.echo(
        f"Game {name} is in {store}: {new} of {len(opened.entries)} entries are new.",
        err=True,
    )


async def _imported(path: Path, opened: OpenedRecord) -> int:
    from tablesync.store import Store
    from tablesync.stored_games import import_record

    async with await Store.open(path) as store:
        return await import_record(store, opened)
