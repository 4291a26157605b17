"""One team's page of the book: its heading, its rows, a substitution under way."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mobile.presenters.foul_boxes import FoulBoxes, foul_boxes
from mobile.presenters.intents import (
    BeginSubstitution,
    Enter,
    FoulPlace,
    Pick,
    Rows,
    ShowRows,
    Substitute,
)
from mobile.presenters.player_rows import PlayerRow, player_rows
from mobile.presenters.team_fouls import FoulBox, team_foul_boxes
from mobile.presenters.time_outs import TimeOutBox, has_short, time_out_boxes
from tablesync.core.acts import Charged, TimeOut, TimeOutLength
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from mobile.presenters.desk import Desk
    from mobile.presenters.intents import Intent
    from mobile.presenters.seat_view import SeatView
    from tablesync.core.acts import Side

__all__ = ["Moves", "MovesKey", "TeamSheet", "team_sheet"]


@dataclass(frozen=True, slots=True)
class MovesKey:
    """A player to pick for a substitution."""

    number: str
    name: str
    fouls: FoulBoxes
    picked: bool
    intent: Intent


@dataclass(frozen=True, slots=True)
class Moves:
    """A substitution that is being picked."""

    court: tuple[MovesKey, ...]
    bench: tuple[MovesKey, ...]
    words: str
    done: Intent | None
    """Enters it although uneven; None while nobody is picked."""


@dataclass(frozen=True, slots=True)
class TeamSheet:
    """One team's page."""

    side: Side
    name: str
    colour: str
    coach: str
    score: int
    team_fouls: tuple[FoulBox, ...]
    time_outs: tuple[TimeOutBox, ...]
    time_out: Intent
    short_time_out: Intent | None
    coach_fouls: FoulBoxes
    bench_fouls: FoulBoxes
    rows: tuple[PlayerRow, ...]
    on_court: int
    substitution: Intent
    other_rows: Intent
    """Gives the others their keys: the bench, or the players on court again."""
    showing: Rows
    moves: Moves | None


def team_sheet(view: SeatView, desk: Desk, side: Side) -> TeamSheet:
    """One team's page as it stands."""
    page, rules = view.game.book.pages[side], view.game.rules
    team = page.team
    coach, bench = (FoulPlace(side, None, c) for c in (Charged.COACH, Charged.BENCH))
    rows = player_rows(view, desk, side)
    showing = desk.rows[side]
    other = Rows.COURT if showing is Rows.BENCH else Rows.BENCH
    short = Enter((TimeOut(side, TimeOutLength.SHORT),))
    return TeamSheet(
        side=side,
        name=team.name,
        colour=team.colour,
        coach=view.texts.book.coach(view.colour(side), team.coach),
        score=view.mine.score[side],
        team_fouls=team_foul_boxes(view, side),
        time_outs=time_out_boxes(view, side),
        time_out=Enter((TimeOut(side, TimeOutLength.FULL),)),
        short_time_out=short if has_short(rules) else None,
        coach_fouls=foul_boxes(rules, page.coach_fouls, coach, desk),
        bench_fouls=foul_boxes(rules, page.bench_fouls, bench, desk),
        rows=rows,
        on_court=len(page.on_court),
        substitution=BeginSubstitution(side),
        other_rows=ShowRows(side, other),
        showing=showing,
        moves=_moves(view, desk, side, rows) if desk.moving is side else None,
    )


def _moves(
    view: SeatView, desk: Desk, side: Side, rows: tuple[PlayerRow, ...]
) -> Moves:
    keys = {
        row.number: MovesKey(
            row.number,
            row.name,
            row.fouls,
            row.number in desk.picked,
            Pick(side, row.number),
        )
        for row in rows
    }
    court = tuple(keys[row.number] for row in rows if row.on_court)
    bench = tuple(keys[row.number] for row in rows if not row.on_court)
    on = tuple(key.number for key in bench if key.picked)
    off = tuple(key.number for key in court if key.picked)
    return Moves(
        court,
        bench,
        view.texts.book.moves(on, off),
        Substitute(side) if on or off else None,
    )
