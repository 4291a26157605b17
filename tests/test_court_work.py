"""What is on record is told before it is checked, and no court waits for another."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tablesync.core.acts import Seat
from tablesync.core.summary import Summary, learned
from tablesync.court_work import Workshop
from tablesync.sheet_bytes import write_sheet
from tablesync.sync.courts.codec import read_item
from tablesync.sync.courts.jobs import Forget, Job
from tablesync.sync.courts.messages import PartOf
from tablesync.sync.messages import Sealed
from tests.court_scene import CLEAN, MISSED, beat, made_court

if TYPE_CHECKING:
    from tablesync.core.entries import Entry
    from tablesync.scenario import Scenario

LATER_MS = 15_000
"""So long after a basket that is missed it is found."""


class Watcher:
    """Knows what the workshop has told of its courts."""

    def __init__(self, workshop: Workshop) -> None:
        self.courts: dict[bytes, Summary] = {}
        self._workshop = workshop

    def look(self) -> None:
        for done in self._workshop.done():
            assert done.changed is not None
            for place in sorted(done.changed):
                item = read_item(done.changed[place])
                assert isinstance(item, PartOf)
                summary = learned(self.courts.get(done.game), item.part)
                assert summary is not None
                self.courts[done.game] = summary


def job(scenario: Scenario, mark: str, count: int) -> Job:
    """The first entries of a game, and both seats heard a while after."""
    own, made = made_court(scenario, mark)
    entries: list[Entry] = list(made.entries[:count])
    heard_ms = entries[-1].table_time_ms + LATER_MS
    beats = tuple(beat(seat, entries, heard_ms) for seat in (Seat.BOOK, Seat.CLOCK))
    sealed = tuple(Sealed(one.payload, one.signature) for one in entries)
    return Job(made.game, write_sheet(own.sheet), sealed, beats)


def missed_job(mark: str) -> Job:
    """A game up to where its board lacks a basket."""
    for count in range(2, len(MISSED.steps)):
        one = job(MISSED, mark, count)
        workshop = Workshop()
        watcher = Watcher(workshop)
        workshop.take([one])
        while workshop.check_next():
            pass
        watcher.look()
        told = watcher.courts[one.game]
        if told.findings.count and told.book.score != told.board.score:
            return one
    pytest.fail("nothing is found missing")


def test_entries_are_told_at_once_and_findings_when_they_are_checked() -> None:
    one = missed_job("1")
    workshop = Workshop()
    watcher = Watcher(workshop)
    workshop.take([one])
    watcher.look()
    told = watcher.courts[one.game]
    assert told.written.entries == len(one.entries)
    assert told.book.score != told.board.score
    assert told.findings.count == 0
    while workshop.check_next():
        pass
    watcher.look()
    assert watcher.courts[one.game].findings.count == 1


def test_court_that_takes_long_lets_others_go_first() -> None:
    long, short = job(CLEAN, "1", len(CLEAN.steps)), missed_job("2")
    workshop = Workshop()
    watcher = Watcher(workshop)
    workshop.take([long, short])
    while not (
        short.game in watcher.courts and watcher.courts[short.game].findings.count
    ):
        assert workshop.check_next()
        watcher.look()
    assert workshop.check_next(), "the long one has more to be checked"


def test_court_that_has_not_changed_is_not_told_of_again() -> None:
    one = missed_job("1")
    workshop = Workshop()
    assert len(workshop.do([one])) == 1
    assert workshop.do([one]) == []
    assert workshop.done() == []


def test_nothing_more_is_said_or_done_of_a_court_that_is_forgotten() -> None:
    one = missed_job("1")
    workshop = Workshop()
    workshop.take([one, Forget(one.game)])
    assert not workshop.check_next()
    assert workshop.done() == []
