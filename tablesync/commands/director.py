"""`tablesync director`."""

from __future__ import annotations

from pathlib import Path

import click

__all__ = ["command"]


@click.command("director")
@click.option("--relay", required=True, help="The relay's address, ws://HOST:PORT.")
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path))
def command(relay: str, files: tuple[Path, ...]) -> None:
    """Open the window with all courts, the one that needs help first.

    FILES are the game sheets or scenarios of the courts. A director looks on and can
    enter nothing.
    """
    from tablesync.commands.screens import require_screens
    from tablesync.game_file import sheet_at

    sheets = [sheet_at(path) for path in files]
    require_screens()
    from mobile.director_window import open_director

    open_director(relay, sheets)
