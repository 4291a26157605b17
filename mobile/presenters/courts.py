"""The director's courts: each as one value, the one that needs help most first."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import TYPE_CHECKING

from mobile.presenters.seat_view import LOST_AFTER_MS
from mobile.presenters.strip import Agreement
from tablesync.core.acts import Seat, Side

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from mobile.texts.shape import Texts
    from tablesync.core.findings import Finding
    from tablesync.core.game import Game

__all__ = [
    "PAIR",
    "Court",
    "CourtCard",
    "CourtState",
    "CourtTeam",
    "age_s",
    "court_cards",
    "court_links",
    "court_name",
]

PAIR = (Seat.BOOK, Seat.CLOCK)
"""The seats that every court has."""


class CourtState(Enum):
    """How a court stands, the worst first."""

    MISMATCH = "mismatch"
    CUT_OFF = "cut off"
    SETTLING = "settling"
    AGREED = "agreed"
    QUIET = "quiet"
    """Not begun, or signed."""


@dataclass(frozen=True, slots=True)
class Court:
    """One game as the relay holds it, and how its seats are heard."""

    id: str
    """The game's id, as hexadecimal digits."""
    game: Game
    heard_ms: Mapping[Seat, int]
    """When each seat that has ever been there was last heard, in table time."""


@dataclass(frozen=True, slots=True)
class CourtTeam:
    """A team's line on a card."""

    name: str
    colour: str
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
    """Which seats are not heard, or that both are."""


def court_cards(
    courts: Iterable[Court], now_ms: int, texts: Texts
) -> tuple[CourtCard, ...]:
    """A card for each court, the worst first; equals by the court's name."""
    order = list(CourtState)
    ranked = sorted(
        courts,
        key=lambda one: (
            order.index(_state(one, now_ms)),
            _oldest_ms(one),
            _place(one),
        ),
    )
    return tuple(_card(court, now_ms, texts) for court in ranked)


def court_name(court: Court) -> str:
    """What a court is called."""
    return court.game.sheet.court or court.game.sheet.title


def _place(court: Court) -> tuple[int, str]:
    """Court 9 stands before court 10."""
    name = court_name(court)
    return len(name), name


def _oldest_ms(court: Court) -> int:
    """When the oldest finding was raised: the older, the worse."""
    return min((one.raised_at_ms for one in court.game.open_findings()), default=0)


def age_s(finding: Finding, now_ms: int) -> int:
    """For how long a finding has been open."""
    return max(0, now_ms - finding.raised_at_ms) // 1000


def _silent(court: Court, now_ms: int) -> list[Seat]:
    """The seats that should be heard and are not."""
    return [
        seat
        for seat in PAIR
        if now_ms - court.heard_ms.get(seat, -LOST_AFTER_MS) > LOST_AFTER_MS
    ]


def _state(court: Court, now_ms: int) -> CourtState:
    game = court.game
    is_signed = game.book.record.closed_by is not None
    if game.open_findings():
        return CourtState.MISMATCH
    if not len(game.history) or is_signed:
        return CourtState.QUIET
    if _silent(court, now_ms):
        return CourtState.CUT_OFF
    if game.awaited() or game.tally(Seat.BOOK) != game.tally(Seat.CLOCK):
        return CourtState.SETTLING
    return CourtState.AGREED


_AGREEMENTS = {
    CourtState.MISMATCH: Agreement.MISMATCH,
    CourtState.CUT_OFF: Agreement.UNHEARD,
    CourtState.SETTLING: Agreement.SETTLING,
    CourtState.AGREED: Agreement.AGREED,
    CourtState.QUIET: Agreement.AGREED,
}


def _card(court: Court, now_ms: int, texts: Texts) -> CourtCard:
    game, state = court.game, _state(court, now_ms)
    reading = game.board.clock.reading(now_ms)
    period = max(game.book.periods.last, game.board.periods.last)
    moment = texts.director.not_begun
    if period:
        title = texts.say.period(game.rules, period)
        moment = f"{title}  {texts.say.time(reading.remaining_ms)}"
    home, away = (_team(court, side) for side in Side)
    return CourtCard(
        court.id,
        court_name(court),
        state,
        _AGREEMENTS[state],
        (home, away),
        moment,
        _words(court, state, now_ms, texts),
        court_links(court, now_ms, texts),
    )


def _team(court: Court, side: Side) -> CourtTeam:
    game = court.game
    book, board = (str(game.tally(seat).score[side]) for seat in PAIR)
    team = game.sheet.teams[side]
    return CourtTeam(team.name, team.colour, book, board)


def _words(court: Court, state: CourtState, now_ms: int, texts: Texts) -> str:
    findings = court.game.open_findings()
    match state:
        case CourtState.MISMATCH:
            oldest = min(findings, key=lambda one: one.raised_at_ms)
            return texts.director.open(len(findings), age_s(oldest, now_ms))
        case CourtState.CUT_OFF:
            return texts.strip.unheard
        case CourtState.SETTLING:
            return texts.strip.settling
        case CourtState.AGREED:
            return texts.strip.agreed
        case CourtState.QUIET:
            is_signed = court.game.book.record.closed_by is not None
            return texts.director.signed if is_signed else texts.director.quiet


def court_links(court: Court, now_ms: int, texts: Texts) -> str:
    """Which seats are not heard, or that both are."""
    silent = _silent(court, now_ms)
    if not silent:
        return texts.director.both_heard
    parts = []
    for seat in silent:
        if seat in court.heard_ms:
            silent_s = (now_ms - court.heard_ms[seat]) // 1000
            parts.append(texts.director.silent(seat, silent_s))
        else:
            parts.append(texts.director.never_heard(seat))
    return ", ".join(parts)
