"""The director's courts: each as one value, the one that needs help most first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mobile.presenters.strip import Agreement
from tablesync.core.acts import Side
from tablesync.core.court_state import CourtState, state_of, urgency
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from collections.abc import Iterable

    from mobile.texts.shape import Texts
    from tablesync.core.summary import Linked, Summary

__all__ = [
    "Court",
    "CourtCard",
    "CourtTeam",
    "age_s",
    "court_cards",
    "court_links",
    "court_name",
]


@dataclass(frozen=True, slots=True)
class Court:
    """One game as the relay tells of it."""

    id: str
    """The game's id, as hexadecimal digits."""
    summary: Summary


@dataclass(frozen=True, slots=True)
class CourtTeam:
    """A team's line on a card."""

    name: str
    book: str
    board: str


@dataclass(frozen=True, slots=True)
class CourtCard:
    """One court, as a card."""

    id: str
    court: str
    state: CourtState
    agreement: Agreement
    teams: tuple[CourtTeam, CourtTeam]
    moment: str
    """Period and clock."""
    words: str
    """How the records stand; of a mismatch, for how long."""
    links: str
    """Who waits to be let in, which seats are not heard, or that both are."""


def court_cards(
    courts: Iterable[Court], now_ms: int, texts: Texts
) -> tuple[CourtCard, ...]:
    """A card for each court, the worst first; equals by the court's name."""
    ranked = sorted(courts, key=lambda one: urgency(one.summary))
    return tuple(_card(court, now_ms, texts) for court in ranked)


def court_name(summary: Summary, texts: Texts) -> str:
    """What a court is called."""
    court = summary.named.court
    return texts.start.court(court) if court else summary.named.title


def age_s(since_ms: int, now_ms: int) -> int:
    """For how long something has been so."""
    return max(0, now_ms - since_ms) // 1000


_AGREEMENTS = {
    CourtState.MISMATCH: Agreement.MISMATCH,
    CourtState.CUT_OFF: Agreement.UNHEARD,
    CourtState.SETTLING: Agreement.SETTLING,
    CourtState.AGREED: Agreement.AGREED,
    CourtState.QUIET: Agreement.AGREED,
}


def _card(court: Court, now_ms: int, texts: Texts) -> CourtCard:
    summary = court.summary
    state = state_of(summary)
    home, away = (_team(summary, side) for side in Side)
    return CourtCard(
        court.id,
        court_name(summary, texts),
        state,
        _AGREEMENTS[state],
        (home, away),
        _moment(summary, now_ms, texts),
        _words(summary, now_ms, texts),
        court_links(summary, now_ms, texts),
    )


def _moment(summary: Summary, now_ms: int, texts: Texts) -> str:
    period = max(summary.book.period, summary.board.period)
    if not period:
        return texts.director.not_begun
    title = texts.director.period(summary.named.periods, period)
    return f"{title}  {texts.say.time(summary.played.remaining_at(now_ms))}"


def _team(summary: Summary, side: Side) -> CourtTeam:
    book, board = summary.book.score[side], summary.board.score[side]
    return CourtTeam(summary.named.teams[side], str(book), str(board))


def _words(summary: Summary, now_ms: int, texts: Texts) -> str:
    match state_of(summary):
        case CourtState.MISMATCH:
            oldest = summary.findings.oldest[0]
            age = age_s(oldest.raised_at_ms, now_ms)
            return texts.director.open(summary.findings.count, age)
        case CourtState.CUT_OFF:
            return texts.strip.unheard
        case CourtState.SETTLING:
            return texts.strip.settling
        case CourtState.AGREED:
            return texts.strip.agreed
        case CourtState.QUIET:
            is_signed = summary.written.is_signed
            return texts.director.signed if is_signed else texts.director.quiet


def court_links(summary: Summary, now_ms: int, texts: Texts) -> str:
    """Who waits; which seats are not heard or claimed twice, or that both are heard."""
    asks = [texts.director.asks(one.seat) for one in summary.asked.newcomers]
    parts = asks + [
        _link(link, now_ms, texts)
        for link in (summary.scorer, summary.timer)
        if link.devices != 1
    ]
    return ", ".join(parts) or texts.director.both_heard


def _link(link: Linked, now_ms: int, texts: Texts) -> str:
    if link.devices:
        return texts.director.claimed(link.seat, link.devices)
    if not link.heard_ms:
        return texts.director.never_heard(link.seat)
    return texts.director.silent(link.seat, age_s(link.heard_ms, now_ms))
