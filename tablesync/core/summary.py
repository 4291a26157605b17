"""What a director needs of one game, in few and small parts.

A summary is made of parts that change at different times. So whoever follows many games
is sent the parts that have changed, and nothing else. Ages are never in it, only the
table times that they are counted from: a summary of which nothing has changed is equal
to the one before.
"""

from __future__ import annotations

from dataclasses import replace
from enum import IntEnum
from typing import TYPE_CHECKING, TypeAlias

from tablesync.core.act_words import act_words
from tablesync.core.acts import (
    Correction,
    LetStand,
    Note,
    Protest,
    Seat,
    SeatGiven,
    SeatTaken,
    Shown,
    Side,
    SignOff,
    Unavailable,
)
from tablesync.core.tally import PerSide
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from collections.abc import Mapping

    from tablesync.core.acts import Act, EntryId
    from tablesync.core.entries import Entry
    from tablesync.core.findings import Cause, Finding
    from tablesync.core.game import Game
    from tablesync.core.sheet import GameSheet
    from tablesync.core.tally import Tally
    from tablesync.core.vector_clock import DeviceId

__all__ = [
    "MOST_FINDINGS",
    "MOST_NEWCOMERS",
    "MOST_TEXT",
    "NOBODY",
    "PAIR",
    "Asked",
    "Findings",
    "FoundIn",
    "Linked",
    "Meant",
    "Named",
    "Newcomer",
    "OpenFinding",
    "Part",
    "PartPlace",
    "Played",
    "Summary",
    "Tallied",
    "Waiting",
    "Written",
    "changes",
    "learned",
    "named",
    "summary_of",
    "with_part",
]

PAIR = (Seat.BOOK, Seat.CLOCK)
"""The seats that every court has."""
MOST_FINDINGS = 8
"""More than a director can read of one court; the number of all is told beside them."""
MOST_NEWCOMERS = 8
"""More devices than can be meant for the seats of one table at the same time."""
MOST_TEXT = 200
"""No text of a summary is longer."""


@dataclass(frozen=True, slots=True)
class Named:
    """What does not change during a game."""

    title: str
    court: str
    teams: PerSide[str]
    periods: int
    """How many there are before any overtime."""


@dataclass(frozen=True, slots=True)
class Tallied:
    """What one seat's record shows."""

    seat: Seat
    score: PerSide[int]
    fouls: PerSide[int]
    """Team fouls, as they count together at present."""
    time_outs: PerSide[int]
    period: int
    arrow: Side | None


@dataclass(frozen=True, slots=True)
class Played:
    """The game clock as it was last worked."""

    period: int
    """0 before the first."""
    remaining_ms: int
    running: bool
    at_ms: int
    """The table time of `remaining_ms`; a running clock has gone on from there."""

    def remaining_at(self, now_ms: int) -> int:
        """What the clock shows at a later table time."""
        gone_ms = max(0, now_ms - self.at_ms) if self.running else 0
        return max(0, self.remaining_ms - gone_ms)


@dataclass(frozen=True, slots=True)
class OpenFinding:
    """A mismatch that is open."""

    id: str
    text: str
    raised_at_ms: int


@dataclass(frozen=True, slots=True)
class Findings:
    """The mismatches that are open."""

    count: int
    oldest: tuple[OpenFinding, ...]
    """The first of them, oldest first; at most `MOST_FINDINGS`."""


@dataclass(frozen=True, slots=True)
class Waiting:
    """Entries of one record that the other has not got yet, and still may."""

    count: int
    since_ms: int
    """The table time of the oldest; 0 where there is none."""


@dataclass(frozen=True, slots=True)
class Linked:
    """How one seat is linked with the relay."""

    seat: Seat
    devices: int
    """More than one is a fault: two devices claim one seat."""
    heard_ms: int
    """While there is none: up to which table time the seat was heard; 0 if never."""


@dataclass(frozen=True, slots=True)
class Written:
    """How much is on record, and what came in last."""

    entries: int
    seat: Seat | None
    """Who wrote the last entry; None before the first."""
    at_ms: int
    text: str
    is_signed: bool
    """Whether the referee's signature closes the book."""


@dataclass(frozen=True, slots=True)
class FoundIn:
    """The acts that a mismatch is about."""

    cause: Cause
    book: Act | None
    board: Act | None


@dataclass(frozen=True, slots=True)
class Meant:
    """What the texts of findings and last entry are about, for other languages."""

    findings: tuple[FoundIn, ...] = ()
    """One for each of the oldest findings, in their order."""
    last: Act | None = None
    """None too where the act is mostly text, which is no language's but its own."""


@dataclass(frozen=True, slots=True)
class Newcomer:
    """A device that was invited to a seat which has another one."""

    device: DeviceId
    seat: Seat


@dataclass(frozen=True, slots=True)
class Asked:
    """Who waits for somebody to confirm that it takes a seat.

    This is a matter of the relay's door and not of the game's entries.
    """

    newcomers: tuple[Newcomer, ...]
    """At most `MOST_NEWCOMERS`."""


NOBODY = Asked(())

Part: TypeAlias = (
    Named | Tallied | Played | Findings | Waiting | Linked | Written | Asked | Meant
)


class PartPlace(IntEnum):
    """Where a part stands among all of a summary; the name comes first."""

    NAMED = 0
    BOOK = 1
    BOARD = 2
    PLAYED = 3
    FINDINGS = 4
    WAITING = 5
    SCORER = 6
    TIMER = 7
    WRITTEN = 8
    ASKED = 9
    MEANT = 10


@dataclass(frozen=True, slots=True)
class Summary:
    """One court as a director sees it."""

    named: Named
    book: Tallied
    board: Tallied
    played: Played
    findings: Findings
    waiting: Waiting
    scorer: Linked
    timer: Linked
    written: Written
    asked: Asked = NOBODY
    meant: Meant = Meant()

    def parts(self) -> tuple[Part, ...]:
        """All of it, in the order of `PartPlace`."""
        return (
            self.named,
            self.book,
            self.board,
            self.played,
            self.findings,
            self.waiting,
            self.scorer,
            self.timer,
            self.written,
            self.asked,
            self.meant,
        )


def named(sheet: GameSheet, periods: int) -> Named:
    """The part that is known before anything is written."""
    teams = PerSide(*(sheet.teams[side].name[:MOST_TEXT] for side in Side))
    return Named(sheet.title[:MOST_TEXT], sheet.court[:MOST_TEXT], teams, periods)


def summary_of(game: Game, links: Mapping[Seat, Linked], last: Entry | None) -> Summary:
    """What a director needs of a game as it stands; as quick late in a game as early.

    Args:
        game: advanced to its horizon.
        links: how each seat of `PAIR` is linked.
        last: the entry that came in last, if any.
    """
    clock = game.board.clock
    reading = clock.reading(clock.worked_ms)
    played = Played(
        reading.period, reading.remaining_ms, reading.running, clock.worked_ms
    )
    oldest = _oldest(game)
    return Summary(
        named(game.sheet, game.rules.periods),
        _tallied(game, Seat.BOOK),
        _tallied(game, Seat.CLOCK),
        played,
        _findings(game, oldest),
        _waiting(game),
        links[Seat.BOOK],
        links[Seat.CLOCK],
        _written(game, last),
        meant=_meant(game, oldest, last),
    )


def _tallied(game: Game, seat: Seat) -> Tallied:
    tally = game.tally(seat)
    return Tallied(
        seat,
        tally.score,
        PerSide(*(_fouls(game, tally, side) for side in Side)),
        tally.time_outs,
        tally.period,
        tally.arrow,
    )


def _fouls(game: Game, tally: Tally, side: Side) -> int:
    span = game.rules.foul_span(max(1, tally.period))
    return sum(tally.fouls_in(period, side) for period in span)


def _findings(game: Game, oldest: list[Finding]) -> Findings:
    told = (
        OpenFinding(one.id, one.text[:MOST_TEXT], one.raised_at_ms) for one in oldest
    )
    return Findings(len(game.open_findings()), tuple(told))


def _oldest(game: Game) -> list[Finding]:
    open_ = game.open_findings()
    return sorted(open_, key=lambda one: (one.raised_at_ms, one.id))[:MOST_FINDINGS]


def _meant(game: Game, oldest: list[Finding], last: Entry | None) -> Meant:
    found = (
        FoundIn(
            one.cause,
            _act_of(game, one.entries[Seat.BOOK]),
            _act_of(game, one.entries[Seat.CLOCK]),
        )
        for one in oldest
    )
    return Meant(tuple(found), None if last is None else _without_text(last.act))


def _act_of(game: Game, entry: EntryId | None) -> Act | None:
    return None if entry is None else _without_text(game.history[entry].act)


def _without_text(act: Act) -> Act | None:
    match act:
        case Correction() | LetStand() | Note() | Protest() | Shown() | SignOff():
            return None
        case SeatGiven() | SeatTaken() | Unavailable():
            return None
        case _:
            return act


def _waiting(game: Game) -> Waiting:
    waiting = game.awaited()
    return Waiting(len(waiting), min((one.since_ms for one in waiting), default=0))


def _written(game: Game, last: Entry | None) -> Written:
    entries = len(game.history)
    is_signed = game.book.record.closed_by is not None
    if last is None:
        return Written(entries, None, 0, "", is_signed)
    text = act_words(last.act, game.sheet, game.rules)[:MOST_TEXT]
    return Written(entries, last.seat, last.table_time_ms, text, is_signed)


def changes(before: Summary | None, after: Summary) -> dict[PartPlace, Part]:
    """The parts that somebody who knew `before` must be told; all if None."""
    parts = zip(PartPlace, after.parts(), strict=True)
    if before is None:
        return dict(parts)
    known = before.parts()
    return {place: part for place, part in parts if part != known[place]}


def learned(known: Summary | None, part: Part) -> Summary | None:
    """The summary of somebody who is told of one part; None before the name."""
    if known is not None:
        return with_part(known, part)
    return _new(part) if isinstance(part, Named) else None


def _new(name: Named) -> Summary:
    """A court of which no more than the name has been told yet."""
    nothing = PerSide(0, 0)
    return Summary(
        name,
        Tallied(Seat.BOOK, nothing, nothing, nothing, 0, None),
        Tallied(Seat.CLOCK, nothing, nothing, nothing, 0, None),
        Played(0, 0, running=False, at_ms=0),
        Findings(0, ()),
        Waiting(0, 0),
        Linked(Seat.BOOK, 0, 0),
        Linked(Seat.CLOCK, 0, 0),
        Written(0, None, 0, "", is_signed=False),
    )


def with_part(known: Summary, part: Part) -> Summary:
    """The summary with one part of it replaced."""
    match part:
        case Named():
            return replace(known, named=part)
        case Tallied(seat=Seat.BOOK):
            return replace(known, book=part)
        case Tallied():
            return replace(known, board=part)
        case Played():
            return replace(known, played=part)
        case Findings():
            return replace(known, findings=part)
        case Waiting():
            return replace(known, waiting=part)
        case Linked(seat=Seat.BOOK):
            return replace(known, scorer=part)
        case Linked():
            return replace(known, timer=part)
        case Written():
            return replace(known, written=part)
        case Asked():
            return replace(known, asked=part)
        case Meant():
            return replace(known, meant=part)
