"""`tablesync sheet`."""

from __future__ import annotations

from pathlib import Path

import click

from tablesync.core.quarter_marks import MarkStyle

__all__ = ["command"]


@click.command("sheet")
@click.argument("game", type=click.Path(path_type=Path))
@click.option(
    "--pdf",
    type=click.Path(path_type=Path),
    metavar="OUT",
    required=True,
    help="Where to write it.",
)
@click.option(
    "--paper",
    type=click.Choice(["a4", "letter"]),
    default="a4",
    show_default=True,
    help="The size of the paper, in landscape.",
)
@click.option(
    "--marks",
    type=click.Choice([str(style) for style in MarkStyle]),
    default=str(MarkStyle.WHOLE),
    show_default=True,
    help="What a slash in a period box says: played it whole, or started it.",
)
def command(game: Path, *, pdf: Path, paper: str, marks: str) -> None:
    """Print the score sheet of a GAME: a record, a scenario, or a game sheet.

    One page holds both teams, the running score, the close-outs, the corrections and
    the signatures; remarks for which there is no room go on on further pages. The sheet
    of a game that has not begun is blank, to be kept by hand.
    """
    from tablesync.commands.paper_extra import require_paper
    from tablesync.game_file import game_at
    from tablesync.record.path import write_new

    require_paper()
    from tablesync.paper.score_sheet import Paper
    from tablesync.paper.score_sheet_pdf import score_sheet_pdf

    filed = game_at(game)
    for fault in filed.faults:
        click.echo(f"{game}: {fault}", err=True)
    content = score_sheet_pdf(filed.game, filed.origin, MarkStyle(marks), Paper(paper))
    write_new(pdf, content)
    click.echo(f"The sheet is in {pdf}.", err=True)
