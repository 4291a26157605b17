"""`tablesync dispute`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from tablesync.dispute.dispute import Dispute
    from tablesync.replay.replay import Replay

__all__ = ["command"]


@click.command("dispute")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--finding", metavar="ID", help="A finding by its id; see `replay`.")
@click.option("--from", "from_", metavar="MOMENT", help="The first moment.")
@click.option("--to", metavar="MOMENT", help="The last moment.")
@click.option(
    "--pdf",
    type=click.Path(path_type=Path),
    metavar="OUT",
    help="Write it as PDF, with the chart.",
)
def command(
    file: Path,
    *,
    finding: str | None,
    from_: str | None,
    to: str | None,
    pdf: Path | None,
) -> None:
    """Report the facts about a finding, or a span of a recorded game.

    What each seat entered, when the other had it, when the mismatch was found and
    shown, who corrected what and why, and the close-outs; without judgement. A MOMENT
    is a period and its clock ("2/3:07"), an entry of the listing ("#41"), or seconds
    after the first entry ("+184.5").
    """
    from tablesync.dispute.dispute import dispute_over_finding, dispute_over_span
    from tablesync.errors import BadInputError
    from tablesync.record.path import record_at
    from tablesync.replay.moments import moment_ms
    from tablesync.replay.replay import Replay

    opened = record_at(file)
    for fault in opened.faults:
        click.echo(f"{file}: {fault}", err=True)
    replay = Replay(opened.sheet, opened.rules, opened.history)
    match finding, from_, to:
        case str(), None, None:
            dispute = dispute_over_finding(opened, replay, finding)
        case None, str(), str():
            from_ms = moment_ms(from_, replay, "--from")
            to_ms = moment_ms(to, replay, "--to")
            if to_ms < from_ms:
                raise BadInputError(
                    "--to", f"{to!r} is before {from_!r}", "a later one"
                )
            dispute = dispute_over_span(opened, replay, from_ms, to_ms)
        case _:
            raise BadInputError(
                "dispute", "it is not clear about what", "--finding, or --from and --to"
            )
    _tell(dispute, replay, pdf)


def _tell(dispute: Dispute, replay: Replay, pdf: Path | None) -> None:
    from tablesync.commands.paper_extra import require_paper
    from tablesync.dispute.text import dispute_text

    if pdf is None:
        click.echo(dispute_text(dispute), nl=False)
        return
    require_paper()
    from datetime import UTC, datetime

    from tablesync.paper.dispute_pdf import dispute_pdf
    from tablesync.record.path import write_new

    write_new(pdf, dispute_pdf(dispute, replay, datetime.now(UTC)))
    click.echo(f"The report is in {pdf}.", err=True)
