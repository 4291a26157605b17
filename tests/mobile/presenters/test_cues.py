from __future__ import annotations

from mobile.presenters.cards import cards
from mobile.presenters.cues import Cue, CueWatch
from mobile.presenters.desk import Desk
from mobile.presenters.timers import timer
from tablesync.core.acts import (
    Basket,
    Charged,
    Foul,
    OpenPeriod,
    Seat,
    Side,
    TimeOut,
    TimeOutLength,
)
from tests.mobile.table import FakeTable

LONG_MS = 60_000


def _heard(watch: CueWatch, table: FakeTable, seat: Seat) -> tuple[Cue, ...]:
    view = table.view(seat)
    return watch.after(cards(view, Desk()), timer(view))


def _opened() -> FakeTable:
    table = FakeTable()
    table.both(OpenPeriod(1), OpenPeriod(1))
    return table


def test_a_new_finding_is_heard_once() -> None:
    table, watch = _opened(), CueWatch()
    assert _heard(watch, table, Seat.CLOCK) == ()
    table.enter(Seat.BOOK, Basket(Side.HOME, "4", 2))
    table.wait(LONG_MS)
    assert _heard(watch, table, Seat.CLOCK) == (Cue.FINDING,)
    assert _heard(watch, table, Seat.CLOCK) == ()


def test_what_is_there_when_the_screen_opens_is_not_heard() -> None:
    table = _opened()
    table.enter(Seat.BOOK, Basket(Side.HOME, "4", 2))
    table.wait(LONG_MS)
    assert _heard(CueWatch(), table, Seat.CLOCK) == ()


def test_a_notice_is_heard_at_the_book() -> None:
    table, watch = _opened(), CueWatch()
    _heard(watch, table, Seat.BOOK)
    foul = Foul(Side.HOME, "4", Charged.PLAYER, "personal")
    table.enter(Seat.BOOK, *[foul] * 5)
    assert Cue.NOTICE in _heard(watch, table, Seat.BOOK)


def test_the_signals_of_a_time_out_are_heard_when_they_are_due() -> None:
    table, watch = _opened(), CueWatch()
    table.enter(Seat.CLOCK, TimeOut(Side.AWAY, TimeOutLength.FULL))
    heard = []
    for _ in range(70):
        table.wait(1_000)
        heard.append(_heard(watch, table, Seat.CLOCK))
    signals = [cue for cues in heard for cue in cues if cue is not Cue.FINDING]
    assert signals == [Cue.WARNING, Cue.END]
