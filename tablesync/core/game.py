"""One game as one holder sees it: a device, the relay or a replay.

It joins what the other modules keep apart: the history, each seat's own record, and the
check of one record against the other.

The check runs in table time, and only as far as the *horizon*: the time up to which the
holder has everything of every seat. Beyond it an entry may still be on its way, so
nothing there can be judged. That makes the findings depend on the entries alone, never
on the network: a slow or cut link moves the horizon later and raises nothing.
"""

from __future__ import annotations

from bisect import insort
from typing import TYPE_CHECKING

from tablesync.core.acts import Seat
from tablesync.core.board import Board
from tablesync.core.book import Book
from tablesync.core.check import Check
from tablesync.core.findings import Cleared, How, Raised, Revised
from tablesync.core.history import History
from tablesync.core.notices import Notices
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tablesync.core.acts import EntryId
    from tablesync.core.entries import Entry
    from tablesync.core.findings import Awaited, CheckEvent, Finding
    from tablesync.core.history import Place
    from tablesync.core.notices import Notice
    from tablesync.core.rules import RuleSet
    from tablesync.core.sheet import GameSheet
    from tablesync.core.tally import Tally
    from tablesync.core.vector_clock import DeviceId

__all__ = ["END_OF_TIME_MS", "Game", "Heard"]

PAIR = (Seat.BOOK, Seat.CLOCK)
"""The seats without which there is nothing to compare."""
END_OF_TIME_MS = 2**53
"""Later than any entry: what is over is complete."""


@dataclass(frozen=True, slots=True)
class Heard:
    """What a device has said of itself, or what its entries show."""

    number: int
    """Everything up to this entry was written before `time_ms`."""
    time_ms: int
    """Nothing that the device writes later has an earlier table time."""


class Game:
    """One game, kept up to date entry by entry."""

    def __init__(self, sheet: GameSheet, rules: RuleSet, game: bytes) -> None:
        self.sheet = sheet
        self.rules = rules
        self.history = History(game)
        self.horizon_ms = 0
        """Every entry with an earlier table time is held. It never falls."""
        self._records: dict[Seat, Book | Board] = {}
        self._newest: dict[Seat, Place] = {}
        self._heard: dict[Seat, dict[DeviceId, Heard]] = {seat: {} for seat in PAIR}
        for seat in Seat:
            self._begin_record(seat)
        self._begin_check()
        self._forks = 0
        self._must_recheck = False
        self._complete_ms = 0

    def _begin_record(self, seat: Seat) -> None:
        is_clock = seat is Seat.CLOCK
        record = Board(self.rules) if is_clock else Book(self.sheet, self.rules)
        self._records[seat] = record
        self._newest.pop(seat, None)
        if seat is Seat.BOOK:
            self._notices = Notices(self.sheet, self.rules)
            self._told: list[Notice] = []

    def _begin_check(self) -> None:
        self._check = Check(self.sheet, self.rules, tuple(self._heard))
        self._unchecked = [self.history.place(entry) for entry in self.history]

    @property
    def book(self) -> Book:
        """The scorer's record."""
        record = self._records[Seat.BOOK]
        assert isinstance(record, Book)
        return record

    @property
    def board(self) -> Board:
        """The timer's record."""
        record = self._records[Seat.CLOCK]
        assert isinstance(record, Board)
        return record

    @property
    def seated_board(self) -> Board | None:
        """The timer's record, where the clock seat has entered anything."""
        return self.board if len(self.board.record) else None

    def record(self, seat: Seat) -> Book | Board:
        """A seat's record: a scorer's book, or the board."""
        return self._records[seat]

    def tally(self, seat: Seat) -> Tally:
        """A seat's tally, with every entry of it that is held."""
        return self._records[seat].tally

    def open_findings(self) -> tuple[Finding, ...]:
        """The findings that are open at the horizon, oldest first."""
        return self._check.open_findings()

    def awaited(self) -> tuple[Awaited, ...]:
        """The entries that wait for their partner at the horizon, oldest first."""
        return self._check.awaited()

    def notices(self) -> Sequence[Notice]:
        """What the book has had to tell the referees so far, in order."""
        return self._told

    def receive(self, entry: Entry) -> tuple[Entry, ...]:
        """Takes an entry in, from this device or another.

        Returns:
            The entries that came in by it; see `History.add`. Call `advance` next.

        Raises:
            BrokenChainError: it does not follow from what is held.
        """
        taken = self.history.add(entry)
        forks = sum(len(fork.entries) for fork in self.history.forks())
        if forks != self._forks:
            self._forks = forks
            self._lay_out_anew()
        else:
            self._record(taken)
            for one in taken:
                self._line_up(one)
        for one in taken:
            self.hear(one.seat, one.id, one.table_time_ms)
        return taken

    def _lay_out_anew(self) -> None:
        """A fork may have moved entries that had their place already."""
        for seat in Seat:
            self._record_anew(seat)
        self._must_recheck = True

    def _record(self, taken: tuple[Entry, ...]) -> None:
        """Puts entries that came in together into their seats' records, each once."""
        in_order = sorted(taken, key=self.history.place)
        late = {entry.seat for entry in in_order if self._is_late(entry)}
        anew = [seat for seat in Seat if seat in late]
        for seat in anew:
            self._record_anew(seat)
        for entry in in_order:
            if entry.seat not in anew:
                self._apply(entry)

    def _is_late(self, entry: Entry) -> bool:
        """Whether its seat's record has gone beyond the entry's place already."""
        newest = self._newest.get(entry.seat)
        return newest is not None and self.history.place(entry) < newest

    def _apply(self, entry: Entry) -> None:
        self._records[entry.seat].apply(entry)
        self._newest[entry.seat] = self.history.place(entry)
        if entry.seat is Seat.BOOK:
            clock = self.board.clock
            self._told += self._notices.after(entry, self.book, clock)

    def _record_anew(self, seat: Seat) -> None:
        """Two devices wrote for one seat unknown to each other: their order counts."""
        self._begin_record(seat)
        for entry in self.history:
            if entry.seat is seat:
                self._apply(entry)

    def _line_up(self, entry: Entry) -> None:
        place = self.history.place(entry)
        if place.time_ms < self.horizon_ms:
            self._must_recheck = True
        insort(self._unchecked, place)

    def hear(self, seat: Seat, last: EntryId, time_ms: int) -> None:
        """Learns that a device has written nothing after `last` before that time.

        Args:
            seat: where the device sits.
            last: its last entry, held here or not; number 0 before the first.
            time_ms: the device's table time when it said so.
        """
        devices = self._heard.get(seat)
        if devices is None:
            devices = self._heard[seat] = {}
            self._must_recheck = True
        before = devices.get(last.device)
        if before is None or (last.number, time_ms) > (before.number, before.time_ms):
            devices[last.device] = Heard(last.number, time_ms)

    def _complete_to(self, seat: Seat) -> int:
        """The time before which everything of a seat is held; 0 if never heard."""
        have = self.history.have()
        return max(
            (
                heard.time_ms
                for device, heard in self._heard[seat].items()
                if have[device] >= heard.number
            ),
            default=0,
        )

    @property
    def is_behind(self) -> bool:
        """Whether the last `advance` has left something for the next."""
        return self.horizon_ms < self._complete_ms

    def advance(self, most_ms: int = END_OF_TIME_MS) -> tuple[CheckEvent, ...]:
        """Runs the check to the horizon, and tells what happened, in order.

        Args:
            most_ms: the horizon stops so far after the first entry that is not checked
                yet, so that who has much to do can do it piece by piece. The pieces
                change nothing of what is found in the end.
        """
        self._complete_ms = min(self._complete_to(seat) for seat in self._heard)
        to_ms = self._complete_ms
        if self._unchecked:
            to_ms = min(to_ms, self._unchecked[0].time_ms + most_ms)
        self.horizon_ms = max(self.horizon_ms, to_ms)
        if self._must_recheck:
            return self._recheck()
        return self._run_check()

    def next_deadline_ms(self) -> int | None:
        """The earliest table time at which the check may have something to say."""
        return self._check.next_deadline_ms()

    def conclude(self) -> tuple[CheckEvent, ...]:
        """Runs the check to the end: nothing more will come, as in a replay."""
        self.horizon_ms = END_OF_TIME_MS
        return self.advance()

    def _run_check(self) -> tuple[CheckEvent, ...]:
        ready = 0
        for place in self._unchecked:
            if place.time_ms >= self.horizon_ms:
                break
            self._check.take(self.history.entry_at(place), place.time_ms)
            ready += 1
        del self._unchecked[:ready]
        return self._check.advance(self.horizon_ms - 1) if self.horizon_ms else ()

    def _recheck(self) -> tuple[CheckEvent, ...]:
        """An entry came for a time that was judged already: judges all of it again."""
        self._must_recheck = False
        before = {finding.id: finding for finding in self._check.open_findings()}
        self._begin_check()
        self._run_check()
        after = {finding.id: finding for finding in self._check.open_findings()}
        gone = (id_ for id_ in before if id_ not in after)
        events: list[CheckEvent] = [
            Cleared(id_, self.horizon_ms, How.AGREED) for id_ in gone
        ]
        for id_, finding in after.items():
            if id_ not in before:
                events.append(Raised(finding))
            elif finding != before[id_]:
                events.append(Revised(finding))
        return tuple(events)
