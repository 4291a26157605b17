"""A team's time-outs: which are taken, and what is left of its account."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.acts import Seat, TimeOut, TimeOutLength
from tablesync.core.time_out_rules import TakenTimeOut
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from collections.abc import Iterator

    from mobile.presenters.seat_view import SeatView
    from tablesync.core.acts import Side
    from tablesync.core.rules import RuleSet
    from tablesync.core.time_out_rules import Account

__all__ = ["TimeOutBox", "account", "has_short", "time_out_boxes"]


@dataclass(frozen=True, slots=True)
class TimeOutBox:
    """One time-out, as a box with its seconds."""

    label: str
    struck: bool
    too_many: bool


def account(view: SeatView, side: Side) -> Account:
    """What one's own record leaves the team at this moment."""
    return view.game.rules.time_out_account(
        tuple(_taken(view, side)), view.periods.of_play, view.clock.remaining_ms
    )


def has_short(rules: RuleSet) -> bool:
    """Whether the code has a shorter time-out."""
    return rules.time_outs.short_ms > 0


def time_out_boxes(view: SeatView, side: Side) -> tuple[TimeOutBox, ...]:
    """The time-outs taken in this part of the game, then those that are left."""
    rules, now = view.game.rules, account(view, side)
    part = _part(rules, view.periods.of_play)
    struck = [one for one in _taken(view, side) if _part(rules, one.period) == part]
    boxes = [
        TimeOutBox(_seconds(rules, one.length), struck=True, too_many=False)
        for one in struck
    ]
    for place in range(max(0, len(boxes) - now.too_many), len(boxes)):
        boxes[place] = TimeOutBox(boxes[place].label, struck=True, too_many=True)
    full, short = (_seconds(rules, length) for length in TimeOutLength)
    boxes += [TimeOutBox(full, struck=False, too_many=False)] * now.left.full
    boxes += [TimeOutBox(short, struck=False, too_many=False)] * now.left.short
    return tuple(boxes)


def _seconds(rules: RuleSet, length: TimeOutLength) -> str:
    return str(rules.time_outs.length_ms(length) // 1000)


def _part(rules: RuleSet, period: int) -> int:
    """1 and 2 for the halves, 3 on for the overtimes."""
    if period > rules.periods:
        return 2 + period - rules.periods
    return 1 if period <= rules.periods // 2 else 2


def _taken(view: SeatView, side: Side) -> Iterator[TakenTimeOut]:
    clock = view.game.board.clock
    if view.seat is Seat.CLOCK:
        record = view.my_record
        for entry in record:
            act = entry.act
            if isinstance(act, TimeOut) and act.side is side and record.counts(entry):
                reading = clock.reading(entry.table_time_ms)
                period = max(1, reading.period)
                yield TakenTimeOut(period, act.length, reading.remaining_ms)
    else:
        for one in view.game.book.pages[side].time_outs:
            remaining_ms = clock.reading(one.at_ms).remaining_ms
            yield TakenTimeOut(one.period, one.length, remaining_ms)
