"""The end-of-period check: the sums of both seats, and what does not add up.

After each period the scorers compare (NFHS 2-11-11), the players' sums must equal the
running score, and the team fouls the players' that count. Here each figure is reached
by two ways, so what is named is a difference between the seats, or something that the
officials have to know to read the sums.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.acts import Charged, ClosePeriod, Correction, Side
from tablesync.core.sentence import sentence
from tablesync.core.tally import PerSide
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from tablesync.core.board import Board
    from tablesync.core.book import Book
    from tablesync.core.rules import RuleSet
    from tablesync.core.seat_record import Corrected, SeatRecord
    from tablesync.core.sentence import Sentence
    from tablesync.core.sheet import GameSheet
    from tablesync.core.team_page import TeamPage

__all__ = [
    "AfterClose",
    "CloseOut",
    "PeriodTotals",
    "changed_after_close",
    "close_out",
    "needs_reason",
    "period_totals",
]


@dataclass(frozen=True, slots=True)
class PeriodTotals:
    """One team's line of a close-out."""

    points: int
    """In this period."""
    score: int
    """With this period."""
    team_fouls: int
    """In this period."""
    time_outs: int
    """Taken so far."""


@dataclass(frozen=True, slots=True)
class CloseOut:
    """What both officials look at before the next period."""

    period: int
    totals: PerSide[PeriodTotals]
    problems: tuple[Sentence, ...]
    """What does not add up, one sentence each."""


@dataclass(frozen=True, slots=True)
class AfterClose:
    """A strike or correction of a period that its seat had closed."""

    corrected: Corrected
    period: int
    """The period that it changes."""


@dataclass(frozen=True, slots=True)
class _Table:
    """Both records, and what is needed to read them."""

    sheet: GameSheet
    rules: RuleSet
    book: Book
    board: Board | None
    period: int

    def team(self, side: Side) -> str:
        colour = self.sheet.colour(side)
        return colour[:1].upper() + colour[1:]


def period_totals(book: Book, period: int) -> PerSide[PeriodTotals]:
    """Both teams' lines for a period, past or present."""
    home, away = (_totals(book, side, period) for side in Side)
    return PerSide(home, away)


def close_out(
    sheet: GameSheet, rules: RuleSet, book: Book, board: Board | None
) -> CloseOut:
    """The close-out of the last period opened; `board` is None without that seat."""
    period = book.periods.of_play
    table = _Table(sheet, rules, book, board, period)
    problems = tuple(says for check in _CHECKS for says in check(table))
    return CloseOut(period, period_totals(book, period), problems)


def needs_reason(record: SeatRecord, at_ms: int) -> bool:
    """Whether what changes the record at that table time needs a reason.

    It does where the seat has closed the period since.
    """
    return _closed_after(record, at_ms) is not None


def changed_after_close(record: SeatRecord) -> tuple[AfterClose, ...]:
    """The strikes and corrections in force that came after their period's close."""
    times_ms = {entry.id: entry.table_time_ms for entry in record}
    found = []
    for corrected in record.corrections:
        if not corrected.in_force:
            continue
        act = corrected.entry.act
        at_ms = act.at_ms if isinstance(act, Correction) else None
        if at_ms is None and corrected.target is not None:
            at_ms = times_ms[corrected.target]
        assert at_ms is not None
        closed = _closed_after(record, at_ms)
        if closed is not None and closed[0] < corrected.entry.table_time_ms:
            found.append(AfterClose(corrected, closed[1]))
    return tuple(found)


def _closed_after(record: SeatRecord, at_ms: int) -> tuple[int, int] | None:
    """When the seat first closed a period from that time on, and which."""
    for line in record.standing():
        match line.act:
            case ClosePeriod(period=period) if line.at_ms >= at_ms:
                return line.at_ms, period
            case _:
                pass
    return None


def _totals(book: Book, side: Side, period: int) -> PeriodTotals:
    page = book.pages[side]
    points = [page.points_in(number) for number in range(1, period + 1)]
    return PeriodTotals(
        points=points[-1],
        score=sum(points),
        team_fouls=book.tally.fouls_in(period, side),
        time_outs=sum(time_out.period <= period for time_out in page.time_outs),
    )


def _sums(table: _Table) -> Iterator[Sentence]:
    for side, page in table.book.pages:
        team = table.team(side)
        running = sum(s.points for s in table.book.running_score if s.side is side)
        nobodys = sum(
            s.points
            for s in table.book.running_score
            if s.side is side and s.number is None
        )
        players = sum(line.points for line in page.lines.values())
        if players + nobodys != running:
            yield sentence(
                "{team}: the players' points make {players}, the score is {running}.",
                team=team,
                players=players,
                running=running,
            )
        elif nobodys:
            yield sentence(
                "{team}: {nobodys} of the points are no player's, an own basket.",
                team=team,
                nobodys=nobodys,
            )


def _strangers(table: _Table) -> Iterator[Sentence]:
    for side, page in table.book.pages:
        for number, line in page.lines.items():
            if page.team.player(number) is None and (line.points or line.fouls):
                yield sentence(
                    "{team}: {points} points and {fouls} fouls stand for {number}, "
                    "who is not on the sheet.",
                    team=table.team(side),
                    points=line.points,
                    fouls=len(line.fouls),
                    number=number,
                )


def _team_fouls(table: _Table) -> Iterator[Sentence]:
    for side, page in table.book.pages:
        counted = _fouls_that_count(page, table)
        shown = table.book.tally.fouls_in(table.period, side)
        if counted != shown:
            yield sentence(
                "{team}: the fouls that count make {counted}, the team fouls are "
                "{shown}.",
                team=table.team(side),
                counted=counted,
                shown=shown,
            )


def _fouls_that_count(page: TeamPage, table: _Table) -> int:
    of_players = [foul for line in page.lines.values() for foul in line.fouls]
    fouls = [(Charged.PLAYER, foul) for foul in of_players]
    fouls += [(Charged.COACH, foul) for foul in page.coach_fouls]
    fouls += [(Charged.BENCH, foul) for foul in page.bench_fouls]
    return sum(
        foul.period == table.period
        and table.rules.fouls.counted_as(charged, foul.kind).to_team
        for charged, foul in fouls
    )


def _seats(table: _Table) -> Iterator[Sentence]:
    if table.board is None:
        return
    book, board, period = table.book.tally, table.board.tally, table.period
    if book.period != board.period:
        yield sentence(
            "The book is in period {book}, the board in {board}.",
            book=book.period,
            board=board.period,
        )
    for side in Side:
        for what, in_book, on_board in (
            ("score", book.score[side], board.score[side]),
            (
                "team fouls",
                book.fouls_in(period, side),
                board.fouls_in(period, side),
            ),
            ("time-outs", book.time_outs[side], board.time_outs[side]),
        ):
            if in_book != on_board:
                yield sentence(
                    "{team}: {what} {book} in the book, {board} on the board.",
                    team=table.team(side),
                    what=what,
                    book=in_book,
                    board=on_board,
                )
    if book.arrow is not board.arrow:
        book_team, board_team = (
            "" if side is None else table.sheet.colour(side)
            for side in (book.arrow, board.arrow)
        )
        yield sentence(
            "The arrow points {book_way} in the book, {board_way} on the board.",
            book_way=f"to {book_team}" if book_team else "nowhere",
            board_way=f"to {board_team}" if board_team else "nowhere",
            book_team=book_team,
            board_team=board_team,
        )


def _unreasoned(table: _Table) -> Iterator[Sentence]:
    records = {"book": table.book.record}
    if table.board is not None:
        records["board"] = table.board.record
    for name, record in records.items():
        for change in changed_after_close(record):
            if not change.corrected.reason:
                title = table.rules.period_title(change.period)
                yield sentence(
                    "The {record}: an entry of the {period} was struck later, without "
                    "a reason.",
                    record=name,
                    period=title,
                    at=change.period,
                )


_CHECKS: tuple[Callable[[_Table], Iterator[Sentence]], ...] = (
    _sums,
    _strangers,
    _team_fouls,
    _seats,
    _unreasoned,
)
