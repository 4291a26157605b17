"""A game played through again: what everybody had entered and could know, any time.

The replay goes through the entries in the common order. Between them stand what the
check said and what was to be told to the referees, each at its time. It is made from
the entries alone, so everybody who has them sees the same.
"""

from __future__ import annotations

from bisect import bisect_right
from typing import TYPE_CHECKING, TypeAlias

from tablesync.core.acts import EntryId, Seat
from tablesync.core.board import Board
from tablesync.core.book import Book
from tablesync.core.findings import Cleared, Finding, PerSeat, Raised, Revised
from tablesync.core.game import END_OF_TIME_MS, Game
from tablesync.core.vector_clock import DeviceId, VectorClock
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tablesync.core.entries import Entry
    from tablesync.core.findings import CheckEvent
    from tablesync.core.game_clock import ClockReading
    from tablesync.core.history import History
    from tablesync.core.notices import Notice
    from tablesync.core.rules import RuleSet
    from tablesync.core.sheet import GameSheet
    from tablesync.core.tally import Tally

__all__ = [
    "EntryStep",
    "FindingStep",
    "Moment",
    "NoticeStep",
    "Received",
    "Replay",
    "Step",
]

NOBODY = DeviceId(bytes(32))
"""Stands for the device of a seat that never entered anything."""


@dataclass(frozen=True, slots=True)
class EntryStep:
    """An official entered something."""

    at_ms: int
    """Its place in the common order, in table time."""
    entry: Entry


@dataclass(frozen=True, slots=True)
class FindingStep:
    """The check said something."""

    at_ms: int
    event: CheckEvent
    finding: Finding
    """The finding as it stood: when it is cleared, as it stood before."""


@dataclass(frozen=True, slots=True)
class NoticeStep:
    """The book had something to tell the referees."""

    at_ms: int
    notice: Notice


Step: TypeAlias = EntryStep | FindingStep | NoticeStep


@dataclass(frozen=True, slots=True)
class Received:
    """How much of the other seats' entries a seat had."""

    count: int
    of: int
    """How many there were."""


@dataclass(frozen=True, slots=True)
class Moment:
    """How everything stood after so many steps."""

    position: int
    """How many steps of the replay are done."""
    at_ms: int
    """The table time."""
    records: PerSeat[Book | Board]
    """What each seat's entries so far amount to."""
    knew: PerSeat[VectorClock]
    """What each seat had received when it last entered something, and what it had
    entered: the cut that its official can have known, as far as the entries show."""
    others: PerSeat[Received]
    """How much of what the others had entered each seat is known to have received."""
    findings: tuple[Finding, ...]
    """Those open, oldest first."""
    last: PerSeat[Entry | None]
    """What each seat entered last."""
    reading: ClockReading
    """What the game clock showed, as it was worked until then."""

    @property
    def book(self) -> Book:
        """The scorer's record."""
        record = self.records[Seat.BOOK]
        assert isinstance(record, Book)
        return record

    @property
    def board(self) -> Board:
        """The timer's record."""
        record = self.records[Seat.CLOCK]
        assert isinstance(record, Board)
        return record

    def tally(self, seat: Seat) -> Tally:
        """A seat's tally."""
        return self.records[seat].tally


class Replay:
    """One game from its first entry to its last."""

    def __init__(self, sheet: GameSheet, rules: RuleSet, history: History) -> None:
        self.sheet = sheet
        self.rules = rules
        self.history = history
        present = {entry.seat for entry in history}
        self.seats = tuple(
            seat for seat in Seat if seat is not Seat.VISITING or seat in present
        )
        """The seats whose records are compared."""
        self.steps: Sequence[Step] = _Run(self).steps()
        self._times = [step.at_ms for step in self.steps]
        self.end = self.moment(len(self.steps))
        """How it all ended."""

    def reading(self, at_ms: int) -> ClockReading:
        """What the game clock showed at a table time, by the record as it ended."""
        return self.end.board.clock.reading(at_ms)

    def position_at(self, at_ms: int) -> int:
        """How many steps were done at a table time, those of that time included."""
        return bisect_right(self._times, at_ms)

    def moment_at(self, at_ms: int) -> Moment:
        """How everything stood at a table time."""
        return self._moment(self.position_at(at_ms), at_ms)

    def moment(self, position: int) -> Moment:
        """How everything stood after so many steps."""
        at_ms = self._times[position - 1] if position else 0
        return self._moment(position, at_ms)

    def _moment(self, position: int, at_ms: int) -> Moment:
        records: dict[Seat, Book | Board] = {
            seat: self._blank_record(seat) for seat in self.seats
        }
        knew = dict.fromkeys(self.seats, VectorClock())
        last: dict[Seat, Entry | None] = dict.fromkeys(self.seats)
        findings: dict[str, Finding] = {}
        for step in self.steps[:position]:
            match step:
                case EntryStep(entry=entry):
                    records[entry.seat].apply(entry)
                    knew[entry.seat] = knew[entry.seat].merged(entry.clock)
                    last[entry.seat] = entry
                case FindingStep(event=Cleared(id=id_)):
                    del findings[id_]
                case FindingStep(finding=finding):
                    findings[finding.id] = finding
                case NoticeStep():
                    pass
        board = records[Seat.CLOCK]
        assert isinstance(board, Board)
        entries = [s.entry for s in self.steps[:position] if isinstance(s, EntryStep)]
        return Moment(
            position,
            at_ms,
            PerSeat(tuple(records.items())),
            PerSeat(tuple(knew.items())),
            PerSeat(
                tuple((s, _received(s, clock, entries)) for s, clock in knew.items())
            ),
            tuple(findings.values()),
            PerSeat(tuple(last.items())),
            board.clock.reading(at_ms),
        )

    def _blank_record(self, seat: Seat) -> Book | Board:
        if seat is Seat.CLOCK:
            return Board(self.rules)
        return Book(self.sheet, self.rules)


def _received(seat: Seat, clock: VectorClock, entries: Sequence[Entry]) -> Received:
    others = [entry.id for entry in entries if entry.seat is not seat]
    return Received(sum(id_.number <= clock[id_.device] for id_ in others), len(others))


class _Run:
    """Plays the game through once, to learn what the check and the book said, when."""

    def __init__(self, replay: Replay) -> None:
        self._history = replay.history
        self._game = Game(replay.sheet, replay.rules, replay.history.game)
        self._devices: dict[Seat, set[DeviceId]] = {s: set() for s in replay.seats}
        for entry in replay.history:
            self._devices[entry.seat].add(entry.id.device)
        self._findings: dict[str, Finding] = {}
        self._steps: list[Step] = []

    def steps(self) -> tuple[Step, ...]:
        """Everything that happened, in order."""
        # Every seat is heard from the start, so the check knows whom to compare.
        self._check_until(0)
        told = 0
        for entry in self._history:
            at_ms = self._history.place(entry).time_ms
            self._run_deadlines(at_ms)
            self._steps.append(EntryStep(at_ms, entry))
            self._game.receive(entry)
            notices = self._game.notices()[told:]
            told += len(notices)
            self._steps += [NoticeStep(at_ms, notice) for notice in notices]
            self._check_until(at_ms)
        self._run_deadlines(END_OF_TIME_MS)
        latest_ms = self._steps[-1].at_ms if self._steps else 0
        self._take(self._game.conclude(), latest_ms)
        return tuple(self._steps)

    def _run_deadlines(self, until_ms: int) -> None:
        """Lets the check say what is due by then, each at its time."""
        done_ms = -1
        due_ms = self._game.next_deadline_ms()
        while due_ms is not None and done_ms < due_ms <= until_ms:
            self._check_until(due_ms)
            done_ms, due_ms = due_ms, self._game.next_deadline_ms()

    def _check_until(self, at_ms: int) -> None:
        have = self._game.history.have()
        for seat, devices in self._devices.items():
            for device in devices or {NOBODY}:
                self._game.hear(seat, EntryId(device, have[device]), at_ms + 1)
        self._take(self._game.advance(), at_ms)

    def _take(self, events: tuple[CheckEvent, ...], at_ms: int) -> None:
        for event in events:
            self._steps.append(FindingStep(at_ms, event, self._concerned(event)))

    def _concerned(self, event: CheckEvent) -> Finding:
        match event:
            case Raised(finding) | Revised(finding):
                self._findings[finding.id] = finding
                return finding
            case Cleared(id=id_):
                return self._findings.pop(id_)
