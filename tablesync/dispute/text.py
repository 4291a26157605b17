"""A report on a dispute as plain text."""

from __future__ import annotations

from textwrap import shorten, wrap
from typing import TYPE_CHECKING

from tablesync.box_score import RULINGS_PREVAIL
from tablesync.dispute.facts import Weight

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from tablesync.dispute.dispute import Dispute, Standing
    from tablesync.dispute.facts import Fact

__all__ = ["ABOUT_RECEIPT", "dispute_text", "elapsed_words"]

WIDTH = 92
CELL = 36
"""The width of a seat's column; a longer note is cut, it stands among the facts."""
ABOUT_RECEIPT = (
    "The second time runs on from the first entry while the clock stands. When an "
    "entry had reached the other seat is told by that seat's next entry, which says "
    "what its device held; it may have arrived sooner."
)


def dispute_text(dispute: Dispute) -> str:
    """The report, lines of at most 92 characters."""
    lines = [
        dispute.title,
        "=" * len(dispute.title),
        *dispute.game,
        f"Record: fingerprint {dispute.fingerprint}",
        "",
        *wrap(dispute.question, WIDTH),
        "",
        *_section("What the record says of it", _listed(dispute.told)),
        *_section("The facts in order", _facts(dispute.facts)),
        *wrap(ABOUT_RECEIPT, WIDTH),
        "",
    ]
    for standing in dispute.standings:
        lines += _section(f"The records {standing.heading}", _table(standing))
    lines += [
        *_section("Close-outs, signatures and protests", _listed(dispute.signed)),
        *_section("What the file shows", _listed(dispute.shown)),
        *_section("What it does not show", _listed(dispute.not_shown)),
        RULINGS_PREVAIL,
    ]
    return "\n".join(lines) + "\n"


def elapsed_words(at_s: float) -> str:
    """The time since the first entry: "+2:17"."""
    return f"+{int(at_s) // 60}:{int(at_s) % 60:02}"


def _section(heading: str, lines: Iterable[str]) -> list[str]:
    return [heading, "-" * len(heading), *(list(lines) or ["none"]), ""]


def _listed(sentences: Iterable[str]) -> Iterator[str]:
    for sentence in sentences:
        yield from wrap(sentence, WIDTH, initial_indent="- ", subsequent_indent="  ")


def _facts(facts: Iterable[Fact]) -> Iterator[str]:
    for fact in facts:
        sign = ">" if fact.weight is Weight.IN_QUESTION else " "
        number = f"#{fact.number}" if fact.number else ""
        since = elapsed_words(fact.at_s)
        head = f"{sign} {fact.moment:>9} {since:>7} {number:>5}  {fact.who:<6}"
        indent = " " * (len(head) + 1)
        yield from wrap(
            fact.what, WIDTH, initial_indent=f"{head} ", subsequent_indent=indent
        )
        for reached in fact.reached:
            yield f"{indent}{reached}"


def _table(standing: Standing) -> Iterator[str]:
    yield _row("", standing.seats)
    for row in standing.rows:
        cells = (shorten(cell, CELL, placeholder=" …") for cell in row.cells)
        yield _row(row.label, cells) + (" <- differs" if row.differs else "")


def _row(label: str, cells: Iterable[str]) -> str:
    return f"{label:<13}  {'   '.join(f'{cell:<{CELL}}' for cell in cells)}".rstrip()
