"""A report on a dispute as PDF: the facts on upright pages, the chart on broad ones."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.chart.drawing import Ink
from tablesync.chart.page import chart_rows, legend
from tablesync.dispute.facts import Weight
from tablesync.dispute.text import ABOUT_RECEIPT, elapsed_words
from tablesync.paper.sheets import Line, Sheets

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime

    from tablesync.dispute.dispute import Dispute, Standing
    from tablesync.dispute.facts import Fact
    from tablesync.replay.replay import Replay

__all__ = ["dispute_pdf"]

FACT_WIDTHS = (17, 13, 10, 14, 68, 60)
"""Of the columns of the facts, in shares of the page."""


def dispute_pdf(dispute: Dispute, replay: Replay, printed_at: datetime) -> bytes:
    """The report as the bytes of a PDF file."""
    printed = f"{printed_at:%Y-%m-%d %H:%M %Z}".rstrip()
    footing = f"record {dispute.fingerprint[:16]} · printed {printed}"
    sheets = Sheets(dispute.title, footing, printed_at)
    sheets.add_page()
    sheets.write_heading(dispute.title, 18)
    for line in dispute.game:
        sheets.write_line(line, 9, Ink.QUIET)
    sheets.ln(3)
    sheets.write_heading(dispute.question, 12, Ink.ALERT)
    _listed(sheets, "What the record says of it", dispute.told)
    _facts(sheets, dispute.facts)
    for standing in dispute.standings:
        _standing(sheets, standing)
    _listed(sheets, "Close-outs, signatures and protests", dispute.signed)
    _listed(sheets, "What the file shows", dispute.shown)
    _listed(sheets, "What it does not show", dispute.not_shown)
    _chart(sheets, dispute, replay)
    return bytes(sheets.output())


def _listed(sheets: Sheets, heading: str, sentences: Iterable[str]) -> None:
    sheets.ln(3)
    sheets.write_heading(heading, 11)
    for sentence in list(sentences) or ["none"]:
        sheets.write_line(f"· {sentence}", 9)


def _facts(sheets: Sheets, facts: Iterable[Fact]) -> None:
    sheets.ln(3)
    sheets.write_heading("The facts in order", 11)
    headings = Line(("clock", "since", "no.", "who", "what", "the other seat had it"))
    sheets.write_table(FACT_WIDTHS, [headings, *map(_fact, facts)])
    sheets.ln(1)
    sheets.write_line(ABOUT_RECEIPT, 8, Ink.QUIET)


def _fact(fact: Fact) -> Line:
    cells = (
        fact.moment,
        elapsed_words(fact.at_s),
        f"#{fact.number}" if fact.number else "",
        fact.who,
        fact.what,
        "; ".join(fact.reached),
    )
    if fact.weight is Weight.IN_QUESTION:
        return Line(cells, bold=True)
    return Line(cells, Ink.QUIET)


def _standing(sheets: Sheets, standing: Standing) -> None:
    sheets.ln(3)
    sheets.write_heading(f"The records {standing.heading}", 11)
    widths = (24, *(78 for _ in standing.seats))
    lines = [Line(("", *standing.seats))]
    for row in standing.rows:
        ink = Ink.ALERT if row.differs else Ink.PLAIN
        lines.append(Line((row.label, *row.cells), ink, bold=row.differs))
    sheets.write_table(widths, lines)


def _chart(sheets: Sheets, dispute: Dispute, replay: Replay) -> None:
    rows = chart_rows(replay, dispute.positions, dispute.at_ms)
    if not rows:
        return
    sheets.add_page(orientation="landscape")
    sheets.write_heading(f"{dispute.title}: the entries on one time axis", 13)
    sheets.ln(2)
    for row in (*rows, legend()):
        sheets.draw(row)
