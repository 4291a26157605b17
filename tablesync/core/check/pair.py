"""The check of one seat's record against another's: what both show, item by item."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.acts import (
    Act,
    Basket,
    ClockStart,
    ClockStop,
    Foul,
    FreeThrow,
    OwnBasket,
    Points,
    Seat,
    Substitution,
    TeamFoul,
)
from tablesync.core.check.claims import Claim
from tablesync.core.check.comparison import CheckSettings, Comparison
from tablesync.core.check.standing import ArrowItem, PeriodItem
from tablesync.core.tally import Item, mark_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from tablesync.core.acts import EntryId
    from tablesync.core.check.standing import StandingItem
    from tablesync.core.entries import Entry
    from tablesync.core.rules import RuleSet
    from tablesync.core.seat_record import Standing

__all__ = ["PairCheck"]

PLAY = (Basket, OwnBasket, FreeThrow, Foul, Points, TeamFoul)


class PairCheck:
    """Two records, compared in every item that both keep."""

    def __init__(
        self, seats: tuple[Seat, Seat], rules: RuleSet, settings: CheckSettings
    ) -> None:
        self.seats = seats
        self.acts = Comparison(seats, settings)
        self.period = PeriodItem(seats)
        self.arrow = ArrowItem(seats)
        self._rules = rules
        self._claims: tuple[dict[EntryId, Claim], dict[EntryId, Claim]] = ({}, {})
        self._taken = 0

    @property
    def standing(self) -> tuple[StandingItem, StandingItem]:
        """The items that have one value at a time."""
        return self.period, self.arrow

    def next_deadline_ms(self) -> int | None:
        """When time alone may bring news."""
        times = (self.acts.next_ms, self.period.due_ms, self.arrow.due_ms)
        return min((time for time in times if time is not None), default=None)

    def run_to(self, now_ms: int) -> None:
        """Moves time on."""
        self.acts.run_to(now_ms)
        self.period.run_to(now_ms)
        self.arrow.run_to(now_ms)

    def claim(self, seat: Seat, entry: EntryId) -> Claim | None:
        """What an entry of one of the two seats claims, while it stands."""
        if seat not in self.seats:
            return None
        return self._claims[self.seats.index(seat)].get(entry)

    def take(self, entry: Entry, at_ms: int) -> None:
        """Takes the next entry of any seat, which changes nothing before it."""
        self._follow_clock(entry, at_ms)
        if entry.seat not in self.seats:
            return
        record = self.seats.index(entry.seat)
        if isinstance(entry.act, PLAY):
            self.period.played(record, at_ms)
        mark = mark_of(entry.act, self._rules)
        if mark is None:
            if isinstance(entry.act, FreeThrow | Foul | Substitution):
                self.acts.pass_by(record, at_ms / 1000)
        elif mark.item is Item.PERIOD:
            self.period.show(record, mark.amount, entry, at_ms)
        elif mark.item is Item.ARROW:
            self.arrow.show(record, mark.side, entry, at_ms)
        else:
            self.acts.take(self._claim(record, entry, entry.act, at_ms, at_ms))

    def _follow_clock(self, entry: Entry, at_ms: int) -> None:
        if entry.seat is not Seat.CLOCK:
            return
        match entry.act:
            case ClockStart():
                self.acts.clock_started()
                self.period.clock_started(at_ms)
            case ClockStop():
                self.acts.clock_stopped(at_ms / 1000)
            case _:
                pass

    def lay_out_anew(self, seat: Seat, lines: Iterable[Standing], at_ms: int) -> None:
        """Takes in what a seat's record amounts to, after a strike or a correction."""
        if seat not in self.seats:
            return
        record = self.seats.index(seat)
        claims = self._claims[record]
        standing = {line.entry.id: line for line in lines}
        for id_ in [id_ for id_ in claims if id_ not in standing]:
            self.acts.withdraw(claims.pop(id_), at_ms)
        newest: dict[Item, Standing] = {}
        for id_, line in standing.items():
            mark = mark_of(line.act, self._rules)
            if mark is None:
                continue
            if mark.item in (Item.PERIOD, Item.ARROW):
                newest[mark.item] = line
            elif id_ not in claims:
                claim = self._claim(record, line.entry, line.act, line.at_ms, at_ms)
                self.acts.put_right(claim, at_ms)
        self._show_anew(self.period, record, newest.get(Item.PERIOD), at_ms)
        self._show_anew(self.arrow, record, newest.get(Item.ARROW), at_ms)

    def _show_anew(
        self, item: StandingItem, record: int, line: Standing | None, at_ms: int
    ) -> None:
        if line is None:
            item.show(record, None, None, at_ms)
            return
        mark = mark_of(line.act, self._rules)
        assert mark is not None
        value = mark.amount if item.item is Item.PERIOD else mark.side
        item.show(record, value, line.entry, at_ms)

    def _claim(
        self, record: int, entry: Entry, act: Act, placed_ms: int, at_ms: int
    ) -> Claim:
        mark = mark_of(act, self._rules)
        assert mark is not None
        claim = Claim(
            self._taken, record, entry, act, mark, placed_ms / 1000, at_ms / 1000
        )
        self._taken += 1
        self._claims[record][entry.id] = claim
        return claim
