"""One court for the director: both tallies side by side, and the findings in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mobile.presenters.courts import age_s, court_links, court_name
from mobile.presenters.intents import LetIn
from mobile.presenters.strip import Agreement
from tablesync.core.acts import Seat, Side
from tablesync.core.tally import Item
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from collections.abc import Iterator

    from mobile.presenters.courts import Court
    from mobile.texts.shape import Texts
    from tablesync.core.summary import Summary, Tallied

__all__ = ["Ask", "Compared", "CourtPage", "court_page"]


@dataclass(frozen=True, slots=True)
class Compared:
    """One item of both records."""

    label: str
    book: str
    board: str
    agreement: Agreement


@dataclass(frozen=True, slots=True)
class Ask:
    """A device that waits to be let in, and the key that does so."""

    words: str
    label: str
    intent: LetIn


@dataclass(frozen=True, slots=True)
class CourtPage:
    """One court's findings and both tallies."""

    title: str
    book: str
    board: str
    lines: tuple[Compared, ...]
    findings: tuple[str, ...]
    none_open: str
    last: str
    """What was entered last; empty before anything is."""
    links: str
    asks: tuple[Ask, ...]


def court_page(court: Court, now_ms: int, texts: Texts) -> CourtPage:
    """Everything about one court."""
    summary = court.summary
    written = summary.written
    last = (
        ""
        if written.seat is None
        else texts.director.last(
            written.seat,
            texts.director.entered(written.text, summary.meant.last, summary.named),
            age_s(written.at_ms, now_ms),
        )
    )
    return CourtPage(
        title=f"{court_name(summary, texts)}: {summary.named.title}",
        book=texts.strip.record(Seat.BOOK),
        board=texts.strip.record(Seat.CLOCK),
        lines=tuple(_lines(summary, texts)),
        findings=tuple(_findings(summary, now_ms, texts)),
        none_open=texts.cards.none_open,
        last=last,
        links=court_links(summary, now_ms, texts),
        asks=tuple(
            Ask(
                texts.director.asks_by_name(one.seat, one.device.hex()[:8]),
                texts.director.let_in(one.seat),
                LetIn(court.id, one),
            )
            for one in summary.asked.newcomers
        ),
    )


def _findings(summary: Summary, now_ms: int, texts: Texts) -> Iterator[str]:
    oldest, meant = summary.findings.oldest, summary.meant.findings
    # What they are about comes with them, or from an older relay not at all.
    abouts = meant if len(meant) == len(oldest) else (None,) * len(oldest)
    for one, about in zip(oldest, abouts, strict=True):
        text = texts.director.found(one, about, summary.named)
        yield texts.director.finding(text, age_s(one.raised_at_ms, now_ms))


def _lines(summary: Summary, texts: Texts) -> Iterator[Compared]:
    """Every item; one that differs is no worse than the court."""
    differs = Agreement.MISMATCH if summary.findings.count else Agreement.SETTLING
    places: list[tuple[Item, Side | None]] = [
        (item, side)
        for item in (Item.SCORE, Item.TEAM_FOULS, Item.TIME_OUTS)
        for side in Side
    ]
    for item, side in (*places, (Item.PERIOD, None), (Item.ARROW, None)):
        label = texts.strip.item(item)
        if side is not None:
            label = f"{label}, {summary.named.teams[side]}"
        book, board = (
            _value(tally, item, side) for tally in (summary.book, summary.board)
        )
        agreement = Agreement.AGREED if book == board else differs
        book_words, board_words = (
            _shown(value, summary, texts) for value in (book, board)
        )
        yield Compared(label, book_words, board_words, agreement)


def _value(tally: Tallied, item: Item, side: Side | None) -> int | Side | None:
    match item, side:
        case Item.SCORE, Side():
            return tally.score[side]
        case Item.TEAM_FOULS, Side():
            return tally.fouls[side]
        case Item.TIME_OUTS, Side():
            return tally.time_outs[side]
        case Item.PERIOD, _:
            return tally.period
        case _:
            return tally.arrow


def _shown(value: int | Side | None, summary: Summary, texts: Texts) -> str:
    match value:
        case Side():
            return summary.named.teams[value]
        case None:
            return texts.strip.nobody
        case _:
            return str(value)
