"""How long each player was on court: the book's substitutions, the clock seat's time.

Substitutions are made while the clock stands and entered a little later, when it may
run again. So a substitution is timed by what the clock showed when it last stood.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tablesync.core.acts import Side
    from tablesync.core.book_lines import Spell
    from tablesync.core.game import Game
    from tablesync.core.game_clock import GameClock
    from tablesync.core.rules import RuleSet
    from tablesync.core.team_page import TeamPage

__all__ = ["court_time_ms", "court_time_so_far"]


def court_time_so_far(game: Game, side: Side) -> dict[str, int] | None:
    """A side's times up to the newest entry, in milliseconds by number.

    Whoever has not been on court is absent; None where there is no clock seat.
    """
    board = game.seated_board
    if board is None:
        return None
    newest_ms = max(entry.table_time_ms for entry in game.history)
    return court_time_ms(game.book.pages[side], board.clock, game.rules, newest_ms)


def court_time_ms(
    page: TeamPage, clock: GameClock, rules: RuleSet, at_ms: int
) -> dict[str, int]:
    """Number to milliseconds of playing time, of everybody who has been on court.

    Args:
        page: the team's page of the book.
        clock: the clock seat's.
        rules: for the length of the periods.
        at_ms: the table time up to which a player still on court is counted.
    """
    times: dict[str, int] = {}
    for spell in page.spells:
        length_ms = _spell_ms(spell, clock, rules, at_ms)
        times[spell.number] = times.get(spell.number, 0) + length_ms
    return times


def _spell_ms(spell: Spell, clock: GameClock, rules: RuleSet, at_ms: int) -> int:
    length_ms = rules.period_length_ms(spell.period)
    begun_ms = (
        length_ms
        if spell.from_ms is None
        else _left_of(spell.period, length_ms, clock, spell.from_ms)
    )
    if spell.to_ms is not None:
        ended_ms = _left_of(spell.period, length_ms, clock, spell.to_ms)
    else:
        now = clock.reading(at_ms)
        ended_ms = now.remaining_ms if now.period == spell.period else 0
        ended_ms = length_ms if now.period < spell.period else ended_ms
    return max(0, begun_ms - ended_ms)


def _left_of(period: int, length_ms: int, clock: GameClock, at_ms: int) -> int:
    """What was left of the period at a substitution in it.

    The clock seat may open or close the period a little before or after the book.
    """
    shown = clock.stopped_reading(at_ms)
    if shown.period < period:
        return length_ms
    return shown.remaining_ms if shown.period == period else 0
