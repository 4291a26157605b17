"""Compares the records of all seats as they are written.

Like acts of the two records pair while they can be one act. What has waited too long is
explained: as entered twice, as one act with other side or points, or as missing. A late
like act heals a finding; where the other record then has a partner for it after all, it
was no correction, and the finding is open again.

The times below are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from tablesync.core.acts import EntryId, LetStand, Seat, Side
from tablesync.core.findings import (
    Awaited,
    Cause,
    CheckEvent,
    Cleared,
    Finding,
    How,
    PerSeat,
    Raised,
    Remedy,
    finding_id,
)
from tablesync.core.game_clock import GameClock
from tablesync.core.remedies import added, arrow_set, corrected, period_opened, struck
from tablesync.core.seat_record import SeatRecord
from tablesync.core.sentences import Phrases
from tablesync.core.tally import Item, Mark, mark_of

if TYPE_CHECKING:
    from tablesync.core.entries import Entry
    from tablesync.core.rules import RuleSet
    from tablesync.core.sheet import GameSheet

__all__ = ["Check", "CheckSettings"]

DOUBLE_MS = 2_500
NEAR_MS = 12_000
CORRECTION_MS = 100_000
PARTNER_MS = 9_000
DEAD_MS = 40_000
SOON_MS = 3_000
TIME_OUT_MS = 60_000
TWICE_WAIT_MS = 8_000


@dataclass(frozen=True, slots=True)
class CheckSettings:
    """When the check speaks up."""

    grace_ms: int = 14_000


@dataclass(slots=True, eq=False)
class _Act:
    entry: Entry
    mark: Mark
    at_ms: int
    waits_since_ms: int
    partner: _Act | None = None
    finding: str | None = None


@dataclass(slots=True)
class _Open:
    finding: Finding
    acts: list[_Act]
    stands: set[Seat] = field(default_factory=set)


class Check:
    """The check of one game, fed in the common order."""

    def __init__(
        self,
        sheet: GameSheet,
        rules: RuleSet,
        seats: tuple[Seat, ...] = (Seat.BOOK, Seat.CLOCK),
        settings: CheckSettings | None = None,
    ) -> None:
        self._sheet = sheet
        self._rules = rules
        self._seats = seats
        self._settings = settings or CheckSettings()
        self._phrases = Phrases(sheet, rules)
        self._clock = GameClock(rules)
        self._records = {seat: SeatRecord() for seat in Seat}
        self._acts: dict[EntryId, _Act] = {}
        self._waiting: list[_Act] = []
        self._open: dict[str, _Open] = {}
        self._events: list[CheckEvent] = []
        self._healed: tuple[_Act, _Open] | None = None
        self._time_out_ms = -TIME_OUT_MS

    def take(self, entry: Entry, at_ms: int) -> None:
        """Takes the next entry of the common order, at its time there."""
        self._run_to(at_ms)
        reached_back = self._records[entry.seat].take(entry)
        if entry.seat is Seat.CLOCK:
            self._clock.apply(entry.act, at_ms)
        if entry.seat not in self._seats[:2]:
            return
        if reached_back:
            self._lay_out_anew(entry.seat, at_ms)
            return
        match entry.act:
            case LetStand(finding=id_):
                self._let_stand(id_, entry.seat, at_ms)
            case _:
                mark = mark_of(entry.act, self._rules)
                if mark is not None:
                    self._count(_Act(entry, mark, at_ms, at_ms), at_ms)

    def _count(self, act: _Act, at_ms: int) -> None:
        if act.mark.item is Item.TIME_OUTS:
            self._time_out_ms = act.at_ms
        self._acts[act.entry.id] = act
        self._enter(act, at_ms)

    def advance(self, now_ms: int) -> tuple[CheckEvent, ...]:
        """Moves table time on and tells what happened since the last call, in order."""
        self._run_to(now_ms)
        events = tuple(self._events)
        self._events.clear()
        return events

    def next_deadline_ms(self) -> int | None:
        """The earliest time at which `advance` may have something to say."""
        return min(
            (self._due_ms(act) for act in self._waiting if act.finding is None),
            default=None,
        )

    def _due_ms(self, act: _Act) -> int:
        """When an act has waited too long; a second press need not wait as long."""
        is_again = self._twin(act) is not None
        wait_ms = TWICE_WAIT_MS if is_again else self._settings.grace_ms
        return act.waits_since_ms + wait_ms

    def open_findings(self) -> tuple[Finding, ...]:
        """The findings that are open, oldest first."""
        return tuple(one.finding for one in self._open.values())

    def awaited(self) -> tuple[Awaited, ...]:
        """The entries that wait for their like, oldest first."""
        return tuple(
            Awaited(
                act.mark.item,
                act.mark.side,
                self._other(act.entry.seat),
                act.entry.id,
                act.waits_since_ms,
                self._phrases.awaited(
                    self._other(act.entry.seat), act.entry.act, act.mark.side
                ),
            )
            for act in self._waiting
            if act.finding is None
        )

    def _other(self, seat: Seat) -> Seat:
        first, second = self._seats[:2]
        return second if seat is first else first

    def _enter(self, act: _Act, at_ms: int) -> None:
        for other in self._waiting:
            if (
                self._goes_with(act, other)
                and other.finding is None
                and act.at_ms - other.waits_since_ms <= self._settings.grace_ms
            ):
                self._pair(act, other)
                return
        if not self._unheals(act) and not self._heals(act, at_ms):
            self._waiting.append(act)

    def _goes_with(self, act: _Act, other: _Act) -> bool:
        return other.entry.seat is not act.entry.seat and other.mark == act.mark

    def _pair(self, act: _Act, other: _Act) -> None:
        for one in (act, other):
            if one in self._waiting:
                self._waiting.remove(one)
        act.partner, other.partner = other, act

    def _heals(self, act: _Act, at_ms: int) -> bool:
        """Whether the act puts right what was found a short while ago."""
        for one in list(self._open.values()):
            since_ms = at_ms - one.finding.raised_at_ms
            first = one.acts[0]
            if (
                (since_ms < CORRECTION_MS or self._is_no_play(act))
                and len(one.acts) == 1
                and self._goes_with(act, first)
            ):
                self._clear(one.finding.id, at_ms, How.AGREED)
                self._pair(act, first)
                self._healed = (act, one)
                return True
        return False

    def _is_no_play(self, act: _Act) -> bool:
        """Whether it is a field goal while nobody plays: then it is a correction."""
        if act.mark.amount == 1 or self._clock.reading(act.at_ms).running:
            return False
        since_time_out_ms = act.at_ms - self._time_out_ms
        return (
            SOON_MS < since_time_out_ms < TIME_OUT_MS
            or not self._clock.reading(act.at_ms - DEAD_MS).running
        )

    def _unheals(self, act: _Act) -> bool:
        """Whether what looked like a correction was the partner of this act."""
        if self._healed is None:
            return False
        healing, one = self._healed
        first = one.acts[0]
        if (
            not self._goes_with(act, healing)
            or act.at_ms - healing.at_ms > PARTNER_MS
            or first.partner is not healing
        ):
            return False
        self._pair(act, healing)
        first.partner, first.finding = None, one.finding.id
        self._waiting.append(first)
        self._open[one.finding.id] = one
        self._events.append(Raised(one.finding))
        self._healed = None
        return True

    def _clear(self, id_: str, at_ms: int, how: How) -> None:
        one = self._open.pop(id_, None)
        if one is None:
            return
        self._events.append(Cleared(id_, at_ms, how))
        for act in one.acts:
            act.finding = None
            if act in self._waiting:
                self._waiting.remove(act)

    def _let_stand(self, id_: str, seat: Seat, at_ms: int) -> None:
        one = self._open.get(id_)
        if one is not None:
            one.stands.add(seat)
            if one.stands >= set(self._seats[:2]):
                self._clear(id_, at_ms, How.STANDS)

    def _lay_out_anew(self, seat: Seat, at_ms: int) -> None:
        """A strike or a correction has changed what earlier entries amount to."""
        standing = {one.entry.id: one for one in self._records[seat].standing()}
        for act in list(self._acts.values()):
            if act.entry.seat is seat and act.entry.id not in standing:
                self._take_out(act, at_ms)
        for id_, one in standing.items():
            mark = mark_of(one.act, self._rules)
            if mark is not None and id_ not in self._acts:
                self._count(_Act(one.entry, mark, one.at_ms, at_ms), at_ms)

    def _take_out(self, act: _Act, at_ms: int) -> None:
        del self._acts[act.entry.id]
        others = self._open[act.finding].acts if act.finding else []
        if act.finding:
            self._clear(act.finding, at_ms, How.AGREED)
        if act in self._waiting:
            self._waiting.remove(act)
        left = [o for o in others if o is not act and o.partner in (None, act)]
        left += [act.partner] if act.partner is not None else []
        for other in left:
            other.partner, other.waits_since_ms = None, at_ms
            self._enter(other, at_ms)

    def _run_to(self, now_ms: int) -> None:
        while True:
            due = self.next_deadline_ms()
            if due is None or due > now_ms:
                return
            act = min(
                (a for a in self._waiting if a.finding is None),
                key=self._due_ms,
            )
            self._raise(act, due)

    def _raise(self, act: _Act, at_ms: int) -> None:
        twin = self._twin(act)
        stray = self._stray(act)
        seat = act.entry.seat
        is_first = seat is self._seats[0]
        if act.mark.item is Item.PERIOD:
            self._open_finding(act, None, Cause.PERIOD_DIFFERS, at_ms)
        elif act.mark.item is Item.ARROW:
            self._open_finding(act, None, Cause.ARROW_DIFFERS, at_ms)
        elif twin is not None:
            twice = Cause.TWICE_IN_BOOK if is_first else Cause.TWICE_ON_BOARD
            self._open_finding(act, None, twice, at_ms)
        elif stray is not None:
            same = stray.mark.side is act.mark.side
            cause = Cause.POINTS_DIFFER if same else Cause.SIDES_DIFFER
            self._open_finding(act, stray, cause, at_ms)
        else:
            only = Cause.ONLY_IN_BOOK if is_first else Cause.ONLY_ON_BOARD
            self._open_finding(act, None, only, at_ms)

    def _twin(self, act: _Act) -> _Act | None:
        for other in reversed(self._acts.values()):
            if abs(other.at_ms - act.at_ms) > 10 * NEAR_MS:
                return None
            if (
                other is not act
                and other.entry.seat is act.entry.seat
                and other.mark == act.mark
                and abs(other.at_ms - act.at_ms) <= DOUBLE_MS
            ):
                return other
        return None

    def _stray(self, act: _Act) -> _Act | None:
        for other in self._waiting:
            if (
                other.finding is None
                and other.entry.seat is not act.entry.seat
                and other.mark.item is act.mark.item
                and abs(other.at_ms - act.at_ms) <= NEAR_MS
                and (
                    other.mark.side is act.mark.side
                    or other.mark.amount == act.mark.amount
                )
            ):
                return other
        return None

    def _open_finding(
        self, act: _Act, other: _Act | None, cause: Cause, at_ms: int
    ) -> None:
        acts = [a for a in (act, other) if a is not None]
        acts.sort(key=lambda a: self._seats.index(a.entry.seat))
        id_ = finding_id(act.mark.item, act.entry.id, 0)
        finding = Finding(
            id=id_,
            item=act.mark.item,
            side=acts[0].mark.side if act.mark.item is not Item.ARROW else None,
            cause=cause,
            entries=PerSeat(
                tuple(
                    (s, next((a.entry.id for a in acts if a.entry.seat is s), None))
                    for s in self._seats
                )
            ),
            values=PerSeat(tuple((s, self._value(s, acts[0])) for s in self._seats)),
            raised_at_ms=at_ms,
            text=f"{self._sentence(cause, acts)} ({self._moment(acts)})",
            remedies=self._remedies(cause, acts),
        )
        for a in acts:
            a.finding = id_
        self._open[id_] = _Open(finding, acts)
        self._events.append(Raised(finding))

    def _moment(self, acts: list[_Act]) -> str:
        return self._phrases.moment(self._clock.reading(min(a.at_ms for a in acts)))

    def _sentence(self, cause: Cause, acts: list[_Act]) -> str:
        act, words = acts[0], self._phrases
        seat, other = act.entry.seat, self._other(act.entry.seat)
        if cause is Cause.PERIOD_DIFFERS:
            return words.period((seat, act.mark.amount), (other, act.mark.amount - 1))
        if cause is Cause.ARROW_DIFFERS:
            return words.arrow((seat, act.mark.side), (other, None))
        assert act.mark.side is not None
        if cause in (Cause.TWICE_IN_BOOK, Cause.TWICE_ON_BOARD):
            return words.twice(seat, act.entry.act, act.mark.side)
        if len(acts) == 1:
            return words.only(seat, act.entry.act, act.mark.side, other)
        second = acts[1]
        assert second.mark.side is not None
        if cause is Cause.SIDES_DIFFER:
            return words.sides(
                (seat, act.entry.act, act.mark.side),
                (other, second.entry.act, second.mark.side),
            )
        return words.points(
            act.mark.side, (seat, act.entry.act), (other, second.entry.act)
        )

    def _remedies(self, cause: Cause, acts: list[_Act]) -> tuple[Remedy, ...]:
        act, sheet = acts[0], self._sheet
        other = self._other(act.entry.seat)
        if cause is Cause.PERIOD_DIFFERS:
            title = self._rules.period_title(act.mark.amount)
            return (period_opened(other, act.mark.amount, title),)
        if cause is Cause.ARROW_DIFFERS:
            assert act.mark.side is not None
            return (arrow_set(other, act.mark.side, sheet),)
        if len(acts) == 2:
            second = acts[1]
            return (
                corrected(act.entry, second.mark, second.entry.act, sheet),
                corrected(second.entry, act.mark, act.entry.act, sheet),
            )
        strike = struck(act.entry, act.mark, sheet)
        if cause in (Cause.TWICE_IN_BOOK, Cause.TWICE_ON_BOARD):
            return (strike,)
        return (added(other, act.mark, act.entry.act, sheet), strike)

    def _value(self, seat: Seat, like: _Act) -> int | Side | None:
        marks = [
            a.mark
            for a in self._acts.values()
            if a.entry.seat is seat and a.mark.item is like.mark.item
        ]
        match like.mark.item:
            case Item.PERIOD:
                return marks[-1].amount if marks else 0
            case Item.ARROW:
                return marks[-1].side if marks else None
            case _:
                return sum(m.amount for m in marks if m.side is like.mark.side)
