"""`tablesync courts`."""

from __future__ import annotations

import click

__all__ = ["command"]


@click.command("courts")
@click.option("--relay", required=True, help="The relay's address, ws://HOST:PORT.")
@click.option("--json", "as_json", is_flag=True, help="JSON Lines on standard output.")
@click.option("--once", is_flag=True, help="Tell how all courts stand, and end.")
def command(relay: str, *, as_json: bool, once: bool) -> None:
    """Watch all courts of a relay, the one that needs help most first.

    It only reads: nothing that is done here can change a game. With --json each line
    is one court that has changed, as it is now.
    """
    import asyncio
    from contextlib import suppress

    from tablesync.court_display import Display, Form, show_courts

    form = Form.VALUES if as_json else Form.TABLE
    display = Display(form, ends_when_complete=once)
    with suppress(KeyboardInterrupt):
        asyncio.run(show_courts(relay, display))
