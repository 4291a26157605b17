"""`tablesync seat`."""

from __future__ import annotations

from pathlib import Path

import click

from tablesync.core.acts import Seat

__all__ = ["command"]


@click.command("seat")
@click.argument("seat", type=click.Choice([Seat.BOOK.value, Seat.CLOCK.value]))
@click.option("--relay", default="", help="The relay's address, ws://HOST:PORT.")
@click.option(
    "--game",
    type=click.Path(path_type=Path),
    help="A game sheet or scenario that says who plays; without it the last game goes "
    "on.",
)
def command(seat: str, relay: str, game: Path | None) -> None:
    """Open the window of one seat: book or clock.

    It works without a relay, and sends what was entered when there is one.
    """
    from tablesync.commands.screens import require_screens
    from tablesync.game_file import sheet_at
    from tablesync.relay_address import checked_address

    sheet = None if game is None else sheet_at(game)
    address = checked_address(relay) if relay else ""
    require_screens()
    from mobile.main import Opening, open_seat

    open_seat(Opening(Seat(seat), address, sheet))
