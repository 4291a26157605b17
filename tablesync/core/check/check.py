"""The check of one game: every seat's record against every other's.

With two seats there is one comparison. With a third record the same act is compared
more than once: what concerns the same entry is said once, and the record that differs
from both others is named.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations
from typing import TYPE_CHECKING

from tablesync.core.acts import LetStand, Seat, Side
from tablesync.core.check.comparison import CheckSettings, News, Suspicion, Turn
from tablesync.core.check.pair import PairCheck
from tablesync.core.check.reports import Heading, Reports
from tablesync.core.findings import (
    Awaited,
    CheckEvent,
    Cleared,
    Finding,
    How,
    PerSeat,
    Raised,
    Revised,
    finding_id,
)
from tablesync.core.game_clock import GameClock
from tablesync.core.seat_record import SeatRecord
from tablesync.core.tally import Item, mark_of

if TYPE_CHECKING:
    from tablesync.core.acts import EntryId
    from tablesync.core.check.claims import Claim
    from tablesync.core.check.standing import Difference, StandingItem, Value
    from tablesync.core.entries import Entry
    from tablesync.core.rules import RuleSet
    from tablesync.core.sheet import GameSheet

__all__ = ["Check"]


@dataclass(slots=True)
class _Open:
    """An open finding, and what it came from."""

    finding: Finding
    pair: PairCheck
    source: Suspicion | StandingItem
    stands: frozenset[Seat] = frozenset()


class Check:
    """The check of one game, fed in the common order.

    Its findings depend on the entries and their times alone, not on the steps in which
    time is moved on.
    """

    def __init__(
        self,
        sheet: GameSheet,
        rules: RuleSet,
        seats: tuple[Seat, ...] = (Seat.BOOK, Seat.CLOCK),
        settings: CheckSettings | None = None,
    ) -> None:
        self._rules = rules
        self._seats = seats
        self._clock = GameClock(rules)
        self._reports = Reports(sheet, rules, self._clock)
        self._records = {seat: SeatRecord() for seat in Seat}
        self._counts: dict[Seat, dict[tuple[Item, Side | None], int]] = {
            seat: {} for seat in Seat
        }
        self._pairs = [
            PairCheck(pair, rules, settings or CheckSettings())
            for pair in combinations(seats, 2)
        ]
        self._open: dict[str, _Open] = {}
        self._times_raised: dict[tuple[Item, EntryId], int] = {}
        self._ids: dict[Suspicion, str] = {}
        self._unsaid: list[tuple[PairCheck, Suspicion]] = []
        self._events: list[CheckEvent] = []

    def take(self, entry: Entry, at_ms: int) -> None:
        """Takes the next entry of the common order, at its time there."""
        self._run_to(at_ms)
        record = self._records[entry.seat]
        reaches_back = record.take(entry)
        if entry.seat is Seat.CLOCK:
            self._clock.apply(entry.act, at_ms)
        if reaches_back:
            self._count_anew(entry.seat)
            for pair in self._pairs:
                pair.lay_out_anew(entry.seat, record.standing(), at_ms)
        elif isinstance(entry.act, LetStand):
            self._let_stand(entry.act.finding, entry.seat, at_ms)
        elif record.counts(entry):
            self._add_to_count(entry.seat, entry)
            for pair in self._pairs:
                pair.take(entry, at_ms)
        self._report()

    def advance(self, now_ms: int) -> tuple[CheckEvent, ...]:
        """Moves table time on and tells what happened since the last call, in order."""
        self._run_to(now_ms)
        events = tuple(self._events)
        self._events.clear()
        return events

    def next_deadline_ms(self) -> int | None:
        """The earliest time at which `advance` may have something to say."""
        times = (pair.next_deadline_ms() for pair in self._pairs)
        return min((time for time in times if time is not None), default=None)

    def open_findings(self) -> tuple[Finding, ...]:
        """The findings that are open, oldest first."""
        return tuple(one.finding for one in self._open.values())

    def awaited(self) -> tuple[Awaited, ...]:
        """The entries that wait for their like, oldest first."""
        awaited = [
            self._reports.awaited(claim, pair.seats)
            for pair in self._pairs
            for claim in pair.acts.waiting()
        ]
        for pair in self._pairs:
            for item in pair.standing:
                record = item.awaited_from
                if record is not None:
                    shown = item.shown[1 - record]
                    seat = pair.seats[record]
                    awaited.append(self._reports.awaited_value(item.item, seat, shown))
        awaited.sort(key=lambda one: one.since_ms)
        return tuple(awaited)

    def _run_to(self, now_ms: int) -> None:
        while True:
            due_ms = self.next_deadline_ms()
            if due_ms is None or due_ms > now_ms:
                return
            for pair in self._pairs:
                pair.run_to(due_ms)
            self._report()

    def _add_to_count(self, seat: Seat, entry: Entry) -> None:
        mark = mark_of(entry.act, self._rules)
        if mark is not None:
            counts, key = self._counts[seat], (mark.item, mark.side)
            counts[key] = counts.get(key, 0) + mark.amount

    def _count_anew(self, seat: Seat) -> None:
        counts: dict[tuple[Item, Side | None], int] = {}
        for line in self._records[seat].standing():
            mark = mark_of(line.act, self._rules)
            if mark is not None:
                key = mark.item, mark.side
                counts[key] = counts.get(key, 0) + mark.amount
        self._counts[seat] = counts

    def _let_stand(self, id_: str, seat: Seat, at_ms: int) -> None:
        one = self._open.get(id_)
        if one is None:
            return
        one.stands |= {seat}
        if not one.stands.issuperset(one.pair.seats):
            return
        if isinstance(one.source, Suspicion):
            one.pair.acts.let_stand(one.source, at_ms / 1000)
        else:
            one.source.let_stand()
        self._close(id_, at_ms, How.STANDS)

    def _close(self, id_: str, at_ms: int, how: How) -> None:
        if self._open.pop(id_, None) is not None:
            self._events.append(Cleared(id_, at_ms, how))

    def _report(self) -> None:
        """Tells what the comparisons have found since the last time."""
        for pair in self._pairs:
            for item in pair.standing:
                for difference in item.news():
                    self._report_difference(pair, item, difference)
            for news in pair.acts.news():
                self._report_slip(pair, news)

    def _report_slip(self, pair: PairCheck, news: News) -> None:
        suspicion = news.suspicion
        if news.turn is Turn.CLEARED:
            self._close(self._ids[suspicion], news.at_ms, How.AGREED)
            self._say_what_is_left(news.at_ms)
            return
        if suspicion not in self._ids:
            self._ids[suspicion] = self._new_id(
                suspicion.claim.mark.item, suspicion.claim.entry.id
            )
        id_ = self._ids[suspicion]
        if news.turn is Turn.REVISED and id_ not in self._open:
            return
        if news.turn is Turn.RAISED and self._is_said(pair, suspicion):
            self._unsaid.append((pair, suspicion))
            return
        mark = suspicion.slip.claims[0].mark
        heading = Heading(
            id_, self._values(mark.item, mark.side), self._alone(pair, suspicion)
        )
        finding = self._reports.of_slip(suspicion, pair.seats, heading)
        if news.turn is Turn.RAISED:
            self._open[id_] = _Open(finding, pair, suspicion)
            self._events.append(Raised(finding))
        else:
            self._open[id_].finding = finding
            self._events.append(Revised(finding))

    def _say_what_is_left(self, at_ms: int) -> None:
        """A finding is over; another pair of seats may still differ in that act."""
        unsaid, self._unsaid = self._unsaid, []
        for pair, suspicion in unsaid:
            if suspicion in pair.acts.open_suspicions():
                self._report_slip(pair, News(Turn.RAISED, suspicion, at_ms))

    def _report_difference(
        self, pair: PairCheck, item: StandingItem, difference: Difference
    ) -> None:
        key = difference.item, difference.named_by.id
        if difference.turn is Turn.RAISED:
            id_ = self._new_id(*key)
        else:
            again = self._times_raised[key] - 1
            id_ = finding_id(*key, again)
        if difference.turn is Turn.CLEARED:
            self._close(id_, difference.at_ms, How.AGREED)
            return
        values = self._standing_values(item.item)
        heading = Heading(id_, values, self._alone_in(item.item, pair))
        finding = self._reports.of_difference(difference, pair.seats, heading)
        if difference.turn is Turn.RAISED:
            self._open[id_] = _Open(finding, pair, item)
            self._events.append(Raised(finding))
        elif id_ in self._open:
            one = self._open[id_]
            one.finding = replace(one.finding, entries=finding.entries)
            self._events.append(Revised(one.finding))

    def _new_id(self, item: Item, entry: EntryId) -> str:
        again = self._times_raised.get((item, entry), 0)
        self._times_raised[item, entry] = again + 1
        return finding_id(item, entry, again)

    def _values(self, item: Item, side: Side | None) -> PerSeat[Value]:
        return PerSeat(
            tuple(
                (seat, self._counts[seat].get((item, side), 0)) for seat in self._seats
            )
        )

    def _standing_values(self, item: Item) -> PerSeat[Value]:
        values: list[tuple[Seat, Value]] = []
        for seat in self._seats:
            shown = self._shown(item, seat)
            values.append((seat, shown or 0 if item is Item.PERIOD else shown))
        return PerSeat(tuple(values))

    def _shown(self, item: Item, seat: Seat) -> Value:
        pair = next(pair for pair in self._pairs if seat in pair.seats)
        compared = pair.period if item is Item.PERIOD else pair.arrow
        return compared.shown[pair.seats.index(seat)].value

    def _third_seats(self, pair: PairCheck) -> list[Seat]:
        return [seat for seat in self._seats if seat not in pair.seats]

    def _pair_of(self, one: Seat, other: Seat) -> PairCheck:
        return next(pair for pair in self._pairs if {one, other} == set(pair.seats))

    def _agrees(self, claim: Claim, seat: Seat, third: Seat) -> bool:
        """Whether a third record has the same act, alike."""
        pair = self._pair_of(seat, third)
        same = pair.claim(seat, claim.entry.id)
        partner = None if same is None else pair.acts.partner(same)
        return partner is not None and partner.is_like(claim)

    def _alone(self, pair: PairCheck, suspicion: Suspicion) -> Seat | None:
        """The seat of the pair whose record differs from all the others."""
        thirds = self._third_seats(pair)
        if not thirds:
            return None
        claims = suspicion.slip.concerned
        for claim in claims:
            seat, other = pair.seats[claim.record], pair.seats[1 - claim.record]
            if all(self._agrees(claim, seat, third) for third in thirds):
                return other
        if len(claims) == 1:
            return pair.seats[claims[0].record]
        return None

    def _alone_in(self, item: Item, pair: PairCheck) -> Seat | None:
        for seat, other in (pair.seats, pair.seats[::-1]):
            value = self._shown(item, seat)
            thirds = self._third_seats(pair)
            if thirds and all(self._shown(item, third) == value for third in thirds):
                return other
        return None

    def _is_said(self, pair: PairCheck, suspicion: Suspicion) -> bool:
        """Whether an open finding between other seats is about the same act."""
        entries = self._same_act(pair, suspicion.slip.concerned)
        return any(
            one.pair is not pair
            and isinstance(one.source, Suspicion)
            and entries.intersection(
                self._same_act(one.pair, one.source.slip.concerned)
            )
            for one in self._open.values()
        )

    def _same_act(self, pair: PairCheck, claims: tuple[Claim, ...]) -> set[EntryId]:
        """The entries of all records that are about the same act as some claims."""
        entries = {claim.entry.id for claim in claims}
        for claim in claims:
            seat = pair.seats[claim.record]
            for third in self._third_seats(pair):
                other = self._pair_of(seat, third)
                same = other.claim(seat, claim.entry.id)
                partner = None if same is None else other.acts.partner(same)
                if partner is not None:
                    entries.add(partner.entry.id)
        return entries
