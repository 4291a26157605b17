"""The rows of a book page: one a player in order of number, as on paper."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mobile.presenters.foul_boxes import FoulBoxes, foul_boxes
from mobile.presenters.intents import (
    BeginSubstitution,
    ChoosePlayer,
    Enter,
    FoulPlace,
    Rows,
)
from tablesync.core.acts import Basket, Charged, FreeThrow
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from collections.abc import Iterable

    from mobile.presenters.desk import Desk
    from mobile.presenters.intents import Intent
    from mobile.presenters.seat_view import SeatView
    from tablesync.core.acts import Side
    from tablesync.core.book_lines import PeriodMark, PlayerLine

__all__ = [
    "PeriodBox",
    "PlayerRow",
    "ScoreKeys",
    "in_order",
    "player_rows",
    "score_keys",
]


@dataclass(frozen=True, slots=True)
class PeriodBox:
    """A quarter mark."""

    mark: PeriodMark
    begun: bool
    current: bool


@dataclass(frozen=True, slots=True)
class ScoreKeys:
    """What a row's keys enter."""

    two: Intent
    three: Intent
    made: Intent
    missed: Intent


@dataclass(frozen=True, slots=True)
class PlayerRow:
    """One player's row."""

    number: str
    name: str
    on_court: bool
    periods: tuple[PeriodBox, ...]
    fouls: FoulBoxes
    out: bool
    """Put out by number or by combination of fouls."""
    points: int
    goes: Intent
    """Begins a substitution with this player."""
    choice: Intent
    """Shows all of the player's keys."""
    chosen: bool
    """They are shown."""
    keys: ScoreKeys | None
    """None where the row shows no keys."""


def player_rows(view: SeatView, desk: Desk, side: Side) -> tuple[PlayerRow, ...]:
    """The rows of one side."""
    page = view.game.book.pages[side]
    numbers = {*page.lines, *page.on_court}
    return tuple(_row(view, desk, side, number) for number in in_order(numbers))


def in_order(numbers: Iterable[str]) -> list[str]:
    """Players' numbers in the order in which their rows stand."""
    return sorted(numbers, key=lambda number: (int(number), number))


def _row(view: SeatView, desk: Desk, side: Side, number: str) -> PlayerRow:
    page, rules = view.game.book.pages[side], view.game.rules
    line = page.line(number)
    player = page.team.player(number)
    on_court = number in page.on_court
    place = FoulPlace(side, number, Charged.PLAYER)
    has_keys = on_court is (desk.rows[side] is Rows.COURT)
    return PlayerRow(
        number=number,
        name="" if player is None else player.name,
        on_court=on_court,
        periods=_periods(view, line),
        fouls=foul_boxes(rules, line.fouls, place, desk),
        out=rules.fouls.player_out_by([foul.kind for foul in line.fouls]) is not None,
        points=line.points,
        goes=BeginSubstitution(side, number),
        choice=ChoosePlayer(side, number),
        chosen=desk.chosen == ChoosePlayer(side, number),
        keys=score_keys(side, number) if has_keys else None,
    )


def score_keys(side: Side, number: str) -> ScoreKeys:
    """The keys for a player's points and free throws."""
    return ScoreKeys(
        Enter((Basket(side, number, 2),)),
        Enter((Basket(side, number, 3),)),
        Enter((FreeThrow(side, number, made=True),)),
        Enter((FreeThrow(side, number, made=False),)),
    )


def _periods(view: SeatView, line: PlayerLine) -> tuple[PeriodBox, ...]:
    last = view.periods.last
    count = max(view.game.rules.periods, last)
    return tuple(
        PeriodBox(line.mark(period), begun=period <= last, current=period == last)
        for period in range(1, count + 1)
    )
