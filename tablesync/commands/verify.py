"""`tablesync verify`."""

from __future__ import annotations

import sys
from pathlib import Path

import click

__all__ = ["command"]


@click.command("verify")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="One JSON object.")
def command(file: Path, *, as_json: bool) -> None:
    """Check every hash, number, signature, chain and checkpoint of a record FILE.

    Needs nothing but the file. Says what it shows and what it does not. Exits with 1
    and names the first bad entry where it is not sound.
    """
    from tablesync.record.path import bytes_at
    from tablesync.record.verdict import verdict_lines, verdict_values
    from tablesync.record.verification import examine

    examined = examine(bytes_at(file))
    if as_json:
        import json

        click.echo(json.dumps(verdict_values(examined), ensure_ascii=False))
    else:
        click.echo("\n".join(verdict_lines(examined)))
    sys.exit(1 if examined.faults else 0)
