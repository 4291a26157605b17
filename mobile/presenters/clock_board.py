"""The clock seat: the time, one great key, and what the board shows of each team."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mobile.presenters.entry_lines import take_back
from mobile.presenters.intents import Back, Enter, Page, TurnTo, TypeDigit, Untype
from mobile.presenters.steps import arrow_keys, next_step
from mobile.presenters.team_fouls import award, fouls_in_span
from mobile.presenters.time_outs import account, has_short
from mobile.presenters.timers import timer
from tablesync.core.acts import (
    ClockStart,
    ClockStop,
    Points,
    SetClock,
    Side,
    TeamFoul,
    TimeOut,
    TimeOutLength,
)
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from mobile.presenters.desk import Desk
    from mobile.presenters.intents import Intent
    from mobile.presenters.seat_view import SeatView
    from mobile.presenters.timers import Timer

__all__ = [
    "BoardKey",
    "BoardTeam",
    "ClockBoard",
    "NumberPad",
    "clock_board",
    "intent_of_key",
    "number_pad",
]

LEFT_HAND = ("a", "s", "d", "f", "t", "g")
RIGHT_HAND = ("j", "k", "l", "h", "u", "i")
"""Keyboard keys of a team: +1, +2, +3, foul, time-out, short time-out."""


@dataclass(frozen=True, slots=True)
class BoardKey:
    """A key of the board, on the screen and on the keyboard."""

    label: str
    legend: str
    """The keyboard's key, as it is printed in the corner."""
    intent: Intent | None
    """None while it has nothing to do."""
    filled: bool = False


@dataclass(frozen=True, slots=True)
class BoardTeam:
    """What the board shows of a team, and its keys."""

    side: Side
    name: str
    colour: str
    """As it stands on the sheet."""
    words: str
    """The colour, and the bonus that the next foul brings."""
    score: int
    points: tuple[BoardKey, BoardKey, BoardKey]
    foul: BoardKey
    time_outs: tuple[BoardKey, ...]


@dataclass(frozen=True, slots=True)
class ClockBoard:
    """The whole board."""

    time: str
    running: bool
    period: str
    great: BoardKey
    teams: tuple[BoardTeam, BoardTeam]
    arrows: tuple[BoardKey, BoardKey]
    arrow: Side | None
    set_clock: BoardKey
    step: BoardKey
    take_back: BoardKey
    timer: Timer | None

    @property
    def every_key(self) -> tuple[BoardKey, ...]:
        """Every key, for the keyboard and its legend."""
        of_teams = tuple(
            key
            for team in self.teams
            for key in (*team.points, team.foul, *team.time_outs)
        )
        return (
            self.great,
            *of_teams,
            *self.arrows,
            self.set_clock,
            self.step,
            self.take_back,
        )


def clock_board(view: SeatView) -> ClockBoard:
    """The board as it stands."""
    texts, reading = view.texts.clock, view.clock
    step = next_step(view)
    period = view.texts.say.period(view.game.rules, max(1, view.periods.last))
    left, right = arrow_keys(view)
    return ClockBoard(
        time=view.texts.say.time(reading.remaining_ms),
        running=reading.running,
        period=period if view.periods.last else texts.before,
        great=_great(view),
        teams=(
            _team(view, view.left, LEFT_HAND),
            _team(view, view.left.other, RIGHT_HAND),
        ),
        arrows=(
            BoardKey("", "left", left.intent, filled=left.points_here),
            BoardKey("", "right", right.intent, filled=right.points_here),
        ),
        arrow=view.mine.arrow,
        set_clock=BoardKey(texts.set_clock, "c", TurnTo(Page.SET_CLOCK)),
        step=BoardKey(step.label, "e", step.intent),
        take_back=BoardKey(texts.take_back, "backspace", take_back(view)),
        timer=timer(view),
    )


def _great(view: SeatView) -> BoardKey:
    """The key that does what comes next: start, stop, open or end a period."""
    reading, texts = view.clock, view.texts.clock
    if not view.periods.is_open or reading.remaining_ms == 0:
        step = next_step(view)
        return BoardKey(step.label, "spacebar", step.intent)
    if reading.running:
        stop = Enter((ClockStop(),))
        return BoardKey(texts.stop, "spacebar", stop, filled=True)
    return BoardKey(texts.start, "spacebar", Enter((ClockStart(),)))


def _team(view: SeatView, side: Side, hand: tuple[str, ...]) -> BoardTeam:
    texts, rules = view.texts.clock, view.game.rules
    one, two, three, foul, full, short = hand
    sheet = view.game.sheet
    fouls = fouls_in_span(view, view.mine, side, view.periods.of_foul)
    time_outs = [
        BoardKey(
            texts.time_out(account(view, side).left.total),
            full,
            Enter((TimeOut(side, TimeOutLength.FULL),)),
        )
    ]
    if has_short(rules):
        act = TimeOut(side, TimeOutLength.SHORT)
        time_outs.append(BoardKey(texts.short_time_out, short, Enter((act,))))
    return BoardTeam(
        side=side,
        name=sheet.teams[side].name,
        colour=sheet.colour(side),
        words=_words(view, side),
        score=view.mine.score[side],
        points=(
            BoardKey("+1", one, Enter((Points(side, 1),))),
            BoardKey("+2", two, Enter((Points(side, 2),))),
            BoardKey("+3", three, Enter((Points(side, 3),))),
        ),
        foul=BoardKey(texts.team_foul(fouls), foul, Enter((TeamFoul(side),))),
        time_outs=tuple(time_outs),
    )


def _words(view: SeatView, side: Side) -> str:
    bonus, colour = award(view, side), view.colour(side)
    return colour if bonus is None else f"{colour} · {view.texts.clock.bonus(bonus)}"


@dataclass(frozen=True, slots=True)
class NumberPad:
    """Setting the clock."""

    typed: str
    """The time as typed so far: "7:03"."""
    keys: tuple[BoardKey, ...]
    """Three in a row: 1 to 9, the point, 0, and the last digit back."""
    done: BoardKey
    back: BoardKey


def number_pad(view: SeatView, desk: Desk) -> NumberPad:
    """The pad with what has been typed on it."""
    texts = view.texts.clock
    digits = tuple(
        BoardKey(texts.point if d == "." else d, d, TypeDigit(d)) for d in "123456789.0"
    )
    remaining_ms = _typed_ms(desk.digits)
    is_time = remaining_ms <= view.game.rules.period_length_ms(view.periods.of_play)
    done = Enter((SetClock(remaining_ms),)) if desk.digits and is_time else None
    return NumberPad(
        typed=view.texts.say.time(remaining_ms) if desk.digits else "",
        keys=(*digits, BoardKey(texts.delete, "backspace", Untype())),
        done=BoardKey(texts.set_to, "enter", done, filled=True),
        back=BoardKey(texts.back, "escape", Back()),
    )


def _typed_ms(digits: str) -> int:
    whole, _, tenths = digits.partition(".")
    seconds = int(whole[:-2] or 0) * 60 + int(whole[-2:] or 0)
    return seconds * 1000 + int((tenths or "0")[0]) * 100


def intent_of_key(keys: tuple[BoardKey, ...], name: str) -> Intent | None:
    """What a key of the keyboard means among these keys, or None."""
    return next((key.intent for key in keys if key.legend == name), None)
