"""`tablesync relay`."""

from __future__ import annotations

from pathlib import Path

import click

__all__ = ["command"]


@click.command("relay")
@click.option("--host", default="127.0.0.1", show_default=True, help="Address.")
@click.option(
    "--port",
    default=8642,
    show_default=True,
    type=click.IntRange(0, 65535),
    help="Port; 0 takes a free one.",
)
@click.option(
    "--store",
    default=Path("tablesync.db"),
    show_default=True,
    type=click.Path(path_type=Path),
    help="The file that keeps every game.",
)
@click.option(
    "--game",
    "games",
    multiple=True,
    type=click.Path(path_type=Path),
    help="A game sheet or scenario whose seats are to be given out; may be repeated.",
)
@click.option(
    "--insecure",
    is_flag=True,
    help="Without encryption and for anybody on this machine, which is all that can "
    "reach it then.",
)
def command(
    host: str, port: int, store: Path, games: tuple[Path, ...], *, insecure: bool
) -> None:
    """Gather the entries of many tables, until Ctrl-C.

    For every seat of the games it shows a QR code and a short code; whoever has one of
    them takes the seat, once. Its key and certificate are made at the first start and
    kept beside the store.

    What is stored when it ends is there when it starts again. A second Ctrl-C ends it
    at once.
    """
    if insecure:
        from tablesync.server import run_relay

        if games:
            raise click.UsageError("--insecure gives out no seats: anybody takes them")
        run_relay(host, port, store)
        return
    from tablesync.game_file import sheet_at
    from tablesync.relay_program import Place, run_guarded_relay

    run_guarded_relay(Place(host, port, store), [sheet_at(game) for game in games])
