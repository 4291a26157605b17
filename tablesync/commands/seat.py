"""`tablesync seat`."""

from __future__ import annotations

import asyncio
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tablesync.core.acts import Seat

if TYPE_CHECKING:
    from tablesync.admission.invitation import Invitation
    from tablesync.core.sheet import GameSheet

__all__ = ["command"]


@click.command("seat")
@click.argument("seat", type=click.Choice([Seat.BOOK.value, Seat.CLOCK.value]))
@click.option(
    "--relay",
    default="",
    help="The text of the relay's QR code, or HOST:PORT with --code; on this machine "
    "also ws://127.0.0.1:PORT, without encryption.",
)
@click.option("--code", default="", help="The short code that the relay shows.")
@click.option(
    "--game",
    type=click.Path(path_type=Path),
    help="A game sheet or scenario that says who plays; without it the last game goes "
    "on. An invitation brings its own.",
)
def command(seat: str, relay: str, code: str, game: Path | None) -> None:
    """Open the window of one seat: book or clock.

    It works without a relay, and sends what was entered when there is one.
    """
    from tablesync.commands.screens import require_screens
    from tablesync.game_file import sheet_at

    sheet = None if game is None else sheet_at(game)
    invitation = _invitation(relay, code)
    address = _address(relay) if relay and invitation is None else ""
    require_screens()
    from mobile.folders import DeviceFolder
    from mobile.main import Opening, open_seat

    if invitation is not None:
        sheet = _taken(invitation, Seat(seat), DeviceFolder.of_this_device().journals)
        address = str(invitation.relay)
    open_seat(Opening(Seat(seat), address, sheet))


def _address(relay: str) -> str:
    from tablesync.relay_address import checked_address

    return checked_address(relay)


def _invitation(relay: str, code: str) -> Invitation | None:
    """What the options say of an invitation; None where they say nothing of one."""
    if not relay and not code:
        return None
    from tablesync.admission.invitation import read_invitation, secret_in

    if code:
        from tablesync.joining import redeem

        host, _, port = relay.rpartition(":")
        if not host or not port.isdecimal():
            raise click.UsageError("--code needs the relay's place: --relay HOST:PORT")
        return asyncio.run(redeem(host, int(port), code))
    return read_invitation(relay) if secret_in(relay) else None


def _taken(invitation: Invitation, seat: Seat, journals: Path) -> GameSheet:
    """Takes the seat, and gives the game's sheet."""
    from tablesync.taking_seat import take_seat

    if invitation.seat is not seat:
        of = "looking on" if invitation.seat is None else f"the {invitation.seat} seat"
        raise click.UsageError(f"the invitation is for {of}")
    journals.mkdir(parents=True, exist_ok=True)
    return asyncio.run(
        take_seat(invitation, journals, lambda text: click.echo(text, err=True))
    )
