"""`tablesync director`."""

from __future__ import annotations

import click

__all__ = ["command"]


@click.command("director")
@click.option(
    "--relay",
    required=True,
    help="The text of an invitation to look on; on this machine also "
    "ws://127.0.0.1:PORT, without encryption.",
)
def command(relay: str) -> None:
    """Open the window with all courts of a relay, the one that needs help first.

    A touch opens a court: its findings, and both records side by side. A director looks
    on and can enter nothing, but can let in a device that is to replace another at its
    seat. `tablesync courts` shows the same in a terminal.
    """
    from tablesync.commands.screens import require_screens
    from tablesync.relay_address import checked_address

    address = checked_address(relay)
    require_screens()
    from mobile.director_window import open_director

    open_director(address)
