"""One court for the director: both tallies side by side, and the findings in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

from mobile.presenters.courts import PAIR, age_s, court_links, court_name
from mobile.presenters.strip import Agreement
from tablesync.core.acts import Seat, Side
from tablesync.core.tally import Item

if TYPE_CHECKING:
    from collections.abc import Container

    from mobile.presenters.courts import Court
    from mobile.texts.shape import Texts
    from tablesync.core.tally import Tally

__all__ = ["Compared", "CourtPage", "court_page"]

Place: TypeAlias = tuple[Item, Side | None]


@dataclass(frozen=True, slots=True)
class Compared:
    """One item of both records."""

    label: str
    book: str
    board: str
    agreement: Agreement


@dataclass(frozen=True, slots=True)
class CourtPage:
    """One court's findings and both tallies."""

    title: str
    book: str
    board: str
    lines: tuple[Compared, ...]
    findings: tuple[str, ...]
    none_open: str
    links: str


def court_page(court: Court, now_ms: int, texts: Texts) -> CourtPage:
    """Everything about one court."""
    game = court.game
    findings = {(f.item, f.side) for f in game.open_findings()}
    places: list[Place] = [
        (item, side)
        for item in (Item.SCORE, Item.TEAM_FOULS, Item.TIME_OUTS)
        for side in Side
    ]
    places += [(Item.PERIOD, None), (Item.ARROW, None)]
    return CourtPage(
        title=f"{court_name(court)}: {game.sheet.title}",
        book=texts.strip.record(Seat.BOOK),
        board=texts.strip.record(Seat.CLOCK),
        lines=tuple(_compared(court, texts, place, findings) for place in places),
        findings=tuple(
            texts.director.finding(texts.say.finding(one, game), age_s(one, now_ms))
            for one in game.open_findings()
        ),
        none_open=texts.cards.none_open,
        links=court_links(court, now_ms, texts),
    )


def _compared(
    court: Court, texts: Texts, place: Place, findings: Container[Place]
) -> Compared:
    item, side = place
    game = court.game
    book, board = (_value(court, game.tally(seat), item, side) for seat in PAIR)
    label = texts.strip.item(item)
    if side is not None:
        label = f"{label}, {game.sheet.teams[side].name}"
    if place in findings:
        agreement = Agreement.MISMATCH
    else:
        agreement = Agreement.AGREED if book == board else Agreement.SETTLING
    shown = (
        texts.say.colour(game.sheet.colour(v)) if isinstance(v, Side) else v
        for v in (book, board)
    )
    book_words, board_words = (
        texts.strip.nobody if v is None else str(v) for v in shown
    )
    return Compared(label, book_words, board_words, agreement)


def _value(
    court: Court, tally: Tally, item: Item, side: Side | None
) -> int | Side | None:
    match item, side:
        case Item.SCORE, Side():
            return tally.score[side]
        case Item.TEAM_FOULS, Side():
            span = court.game.rules.foul_span(max(1, tally.period))
            return sum(tally.fouls_in(period, side) for period in span)
        case Item.TIME_OUTS, Side():
            return tally.time_outs[side]
        case Item.PERIOD, _:
            return tally.period
        case _:
            return tally.arrow
