"""The close-out: what both officials look at before a period is closed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mobile.presenters.intents import Enter
from mobile.presenters.strip import Agreement
from tablesync.core.acts import ClosePeriod, Seat
from tablesync.core.close_out import close_out
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from mobile.presenters.intents import Intent
    from mobile.presenters.seat_view import SeatView
    from tablesync.core.acts import Side
    from tablesync.core.close_out import PeriodTotals

__all__ = ["CloseOutPage", "ClosingTeam", "ComparedLine", "close_out_page"]


@dataclass(frozen=True, slots=True)
class ComparedLine:
    """One figure of both records."""

    label: str
    book: str
    board: str
    """Empty where only the book has it."""
    state: Agreement


@dataclass(frozen=True, slots=True)
class ClosingTeam:
    """One team's figures."""

    name: str
    colour: str
    lines: tuple[ComparedLine, ...]


@dataclass(frozen=True, slots=True)
class CloseOutPage:
    """The page before a period is closed."""

    title: str
    book: str
    board: str
    """What the two columns are called."""
    teams: tuple[ClosingTeam, ClosingTeam]
    problems: tuple[str, ...]
    verdict: str
    """One line: that everything adds up, or that it does not."""
    label: str
    close: Intent | None
    """Closes the period in one's own record; None where none is open."""


def close_out_page(view: SeatView) -> CloseOutPage:
    """The page as it stands."""
    texts, game = view.texts.close_out, view.game
    sums = close_out(game.sheet, game.rules, game.book, game.board)
    period = view.periods.last
    title = view.texts.say.period(game.rules, max(1, period))
    left, right = view.sides
    close = Enter((ClosePeriod(period),)) if view.periods.is_open else None
    return CloseOutPage(
        title=texts.title(title),
        book=view.texts.strip.record(Seat.BOOK),
        board=view.texts.strip.record(Seat.CLOCK),
        teams=(
            _team(view, left, sums.totals[left]),
            _team(view, right, sums.totals[right]),
        ),
        problems=tuple(
            view.texts.say.sentence(says, game.rules) for says in sums.problems
        ),
        verdict=texts.problems if sums.problems else texts.adds_up,
        label=texts.close(title),
        close=close,
    )


def _team(view: SeatView, side: Side, totals: PeriodTotals) -> ClosingTeam:
    texts, game = view.texts.close_out, view.game
    board, period = game.board.tally, max(1, game.book.periods.last)
    team = game.sheet.teams[side]
    return ClosingTeam(
        team.name,
        team.colour,
        (
            ComparedLine(texts.points, str(totals.points), "", Agreement.AGREED),
            _compared(texts.score, totals.score, board.score[side]),
            _compared(
                texts.team_fouls, totals.team_fouls, board.fouls_in(period, side)
            ),
            _compared(texts.time_outs, totals.time_outs, board.time_outs[side]),
        ),
    )


def _compared(label: str, book: int, board: int) -> ComparedLine:
    state = Agreement.AGREED if book == board else Agreement.MISMATCH
    return ComparedLine(label, str(book), str(board), state)
