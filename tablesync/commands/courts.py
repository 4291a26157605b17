"""`tablesync courts`."""

from __future__ import annotations

from string import hexdigits

import click

__all__ = ["command"]


SHORTEST_NAME = 8


def _name(_context: click.Context, _option: click.Parameter, name: str) -> str:
    if name and (len(name) < SHORTEST_NAME or not set(name.lower()) <= set(hexdigits)):
        what = f"a device is named by {SHORTEST_NAME} digits, as the table shows it"
        raise click.BadParameter(what)
    return name


@click.command("courts")
@click.option(
    "--relay",
    required=True,
    help="The text of an invitation to look on; on this machine also "
    "ws://127.0.0.1:PORT, without encryption.",
)
@click.option("--json", "as_json", is_flag=True, help="JSON Lines on standard output.")
@click.option("--once", is_flag=True, help="Tell how all courts stand, and end.")
@click.option(
    "--let-in",
    "newcomer",
    default="",
    metavar="DEVICE",
    callback=_name,
    help="Confirm that this device, as the table names it, takes the place of the one "
    "that has its seat; ends when it is let in.",
)
def command(relay: str, newcomer: str, *, as_json: bool, once: bool) -> None:
    """Watch all courts of a relay, the one that needs help most first.

    It reads, and nothing that is done here can change what is on record; --let-in needs
    an invitation to look on at every game. With --json each line is one court that has
    changed, as it is now.
    """
    import asyncio
    from contextlib import suppress

    from tablesync.court_display import Display, Form, let_in, show_courts

    if newcomer:
        with suppress(KeyboardInterrupt):
            asyncio.run(let_in(relay, newcomer))
        return
    form = Form.VALUES if as_json else Form.TABLE
    display = Display(form, ends_when_complete=once)
    with suppress(KeyboardInterrupt):
        asyncio.run(show_courts(relay, display))
