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
def command(host: str, port: int, store: Path) -> None:
    """Gather the entries of many tables, until Ctrl-C.

    What is stored when it ends is there when it starts again. A second Ctrl-C ends it
    at once.
    """
    from tablesync.server import run_relay

    run_relay(host, port, store)
