"""`tablesync games`."""

from __future__ import annotations

import asyncio
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from tablesync.store import Store
    from tablesync.stored_games import StoredGame

__all__ = ["command"]


EXAMPLES = """\
\b
Examples:
  tablesync games STORE                     list
  tablesync games STORE archive GAME OUT    into a record file, then delete
  tablesync games STORE delete GAME         delete for good
"""


class Action(StrEnum):
    """What to do with the games of a store."""

    LIST = "list"
    ARCHIVE = "archive"
    DELETE = "delete"


@click.command("games", epilog=EXAMPLES)
@click.argument("store", type=click.Path(path_type=Path))
@click.argument("action", type=click.Choice([str(a) for a in Action]), default="list")
@click.argument("game", required=False)
@click.argument("out", type=click.Path(path_type=Path), required=False)
@click.option(
    "--unsigned", is_flag=True, help="Also a game that the referee has not signed."
)
@click.option("--json", "as_json", is_flag=True, help="List as JSON Lines.")
def command(
    store: Path,
    *,
    action: str,
    game: str | None,
    out: Path | None,
    unsigned: bool,
    as_json: bool,
) -> None:
    """List the games of a relay's STORE, archive one or delete one.

    A game that the referee has not signed may still be running: it is only deleted with
    --unsigned. Stop a relay that works on the store first.
    """
    from tablesync.errors import BadInputError

    match Action(action), game, out:
        case Action.LIST, None, None:
            _list(store, as_json=as_json)
        case Action.ARCHIVE, str(), Path():
            asyncio.run(_archive(store, game, out, even_unsigned=unsigned))
        case Action.DELETE, str(), None:
            asyncio.run(_delete(store, game, even_unsigned=unsigned))
        case _:
            raise BadInputError(
                "games",
                f"{action} was given too little or too much",
                "list, archive GAME OUT, or delete GAME",
            )


def _list(path: Path, *, as_json: bool) -> None:
    import json

    from tablesync.stored_game_lines import game_line, game_values

    games = asyncio.run(_read(path))
    for game in games:
        if as_json:
            click.echo(json.dumps(game_values(game), ensure_ascii=False))
        else:
            click.echo(game_line(game))


async def _read(path: Path) -> list[StoredGame]:
    from tablesync.stored_games import opened_store, stored_games

    async with await opened_store(path) as store:
        return await stored_games(store)


async def _archive(path: Path, name: str, out: Path, *, even_unsigned: bool) -> None:
    from tablesync.errors import StorageError
    from tablesync.record.path import record_at, write_new
    from tablesync.stored_games import export_game, game_named, opened_store

    async with await opened_store(path) as store:
        game = await game_named(store, name)
        stored = await _deletable(store, game, even_unsigned=even_unsigned)
        write_new(out, await export_game(store, game))
        # Nothing is deleted before the file has been read back and found whole.
        opened = record_at(out)
        if len(opened.entries) != stored.entries:
            raise StorageError(str(out), "does not hold every entry of the store")
        await store.forget(game)
    click.echo(f"Game {stored.name} is in {out}, and no longer in {path}.", err=True)


async def _delete(path: Path, name: str, *, even_unsigned: bool) -> None:
    from tablesync.stored_games import game_named, opened_store

    async with await opened_store(path) as store:
        game = await game_named(store, name)
        stored = await _deletable(store, game, even_unsigned=even_unsigned)
        await store.forget(game)
    click.echo(
        f"Game {stored.name} with {stored.entries} entries is deleted.", err=True
    )


async def _deletable(store: Store, game: bytes, *, even_unsigned: bool) -> StoredGame:
    """The game, if it may be deleted.

    Raises:
        BadInputError: the referee has not signed it, and that was not said to be known.
    """
    from tablesync.errors import BadInputError
    from tablesync.stored_games import stored_game

    stored = await stored_game(store, game)
    if not stored.is_closed and not even_unsigned:
        what = (
            f"game {stored.name} is not signed by the referee and may still be running"
        )
        raise BadInputError("games", what, "--unsigned, to delete it all the same")
    return stored
