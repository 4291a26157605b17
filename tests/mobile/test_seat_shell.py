from __future__ import annotations

import asyncio
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from mobile.presenters.book_screen import BookScreen
from mobile.presenters.clock_screen import ClockScreen
from mobile.presenters.intents import Back, Enter, Leave, Page, SwapBenches, TurnTo
from mobile.seat_shell import SeatShell
from mobile.settings import Settings
from tablesync.core.acts import (
    Basket,
    OpenPeriod,
    Points,
    Seat,
    SeatGiven,
    Shown,
    Side,
)
from tablesync.core.vector_clock import DeviceId
from tablesync.errors import CorruptJournalError, StorageError
from tablesync.tasks import call_off
from tests.mobile import scenes
from tests.mobile.seat_on_screen import FakeSession
from tests.mobile.table import FakeTable
from tests.scribe import SHEET

if TYPE_CHECKING:
    from collections.abc import Awaitable

    from tablesync.core.acts import Act
    from tablesync.core.entries import Entry

GOAL = Basket(Side.HOME, "4", 2)


async def _work(shell: SeatShell) -> None:
    work = asyncio.create_task(shell.work(lambda: None))
    await shell.settled()
    await call_off(work)


async def test_what_is_touched_is_entered_in_order() -> None:
    session = FakeSession(FakeTable(), Seat.BOOK)
    shell = SeatShell(session, Settings())
    shell.touch(Enter((OpenPeriod(1),)))
    shell.touch(Enter((GOAL, GOAL)))
    await _work(shell)
    assert session.entered == [OpenPeriod(1), GOAL, GOAL]


def test_a_touch_is_entered_before_anything_is_drawn() -> None:
    session = FakeSession(FakeTable(), Seat.BOOK)
    SeatShell(session, Settings()).touch(Enter((OpenPeriod(1),)))
    assert session.entered == [OpenPeriod(1)]


def test_each_seat_has_its_own_screen() -> None:
    table = FakeTable()
    book = SeatShell(FakeSession(table, Seat.BOOK), Settings())
    clock = SeatShell(FakeSession(table, Seat.CLOCK), Settings())
    assert isinstance(book.screen(), BookScreen)
    assert isinstance(clock.screen(), ClockScreen)


def test_a_setting_changes_the_screen_and_enters_nothing() -> None:
    session = FakeSession(FakeTable(), Seat.BOOK)
    shell = SeatShell(session, Settings())
    shell.touch(SwapBenches())
    screen = shell.screen()
    assert isinstance(screen, BookScreen)
    assert screen.sheets[0].side is Side.AWAY


def test_the_benches_stand_as_the_sheet_has_them_until_they_are_swapped() -> None:
    table = FakeTable(replace(SHEET, left=Side.AWAY))
    shell = SeatShell(FakeSession(table, Seat.BOOK), Settings())
    lefts = []
    for _ in range(2):
        screen = shell.screen()
        assert isinstance(screen, BookScreen)
        lefts.append(screen.sheets[0].side)
        shell.touch(SwapBenches())
    assert lefts == [Side.AWAY, Side.HOME]


async def test_it_goes_on_record_once_that_a_finding_was_shown() -> None:
    table = scenes.mismatch()
    session = FakeSession(table, Seat.CLOCK)
    shell = SeatShell(session, Settings())
    finding = table.game.open_findings()[0]
    for _ in range(3):
        shell.attend(shell.screen())
    await _work(shell)
    assert session.entered == [Shown(finding.id, finding.text)]
    again = SeatShell(session, Settings())
    again.attend(again.screen())
    await _work(again)
    assert len(session.entered) == 1


class FullDisk(FakeSession):
    """A device that can't keep anything."""

    def enter(self, act: Act) -> Awaitable[Entry]:
        raise StorageError("book.journal", f"the disk is full: {act}")


class LateFullDisk(FakeSession):
    """One that finds that out while it writes."""

    async def enter(self, act: Act) -> Entry:
        raise StorageError("book.journal", f"the disk is full: {act}")


@pytest.mark.parametrize("kind", [FullDisk, LateFullDisk])
async def test_what_could_not_be_kept_is_said_at_once_and_on_top(
    kind: type[FakeSession],
) -> None:
    shell = SeatShell(kind(scenes.mismatch(), Seat.CLOCK), Settings())
    shell.touch(Enter((Points(Side.HOME, 2),)))
    await _work(shell)
    card = shell.screen().cards[0]
    assert card.head == "NOT ON RECORD"
    assert "the disk is full" in card.text
    shell.touch(Back())
    assert shell.screen().cards[0].head != "NOT ON RECORD"


def test_who_leaves_the_seat_finds_the_page_of_play_again() -> None:
    session = FakeSession(FakeTable(), Seat.BOOK)
    shell = SeatShell(session, Settings())
    shell.touch(TurnTo(Page.MORE))
    assert not shell.left.is_set()
    shell.touch(Leave())
    assert shell.left.is_set()
    assert shell.desk.page is Page.PLAY
    assert session.entered == []


async def test_a_device_that_asks_for_the_other_seat_is_let_in_by_one_key() -> None:
    session = FakeSession(FakeTable(), Seat.CLOCK)
    shell = SeatShell(session, Settings())
    given = SeatGiven(Seat.BOOK, DeviceId(bytes(32)))
    session.asked = (given, SeatGiven(Seat.CLOCK, DeviceId(bytes(32))))
    (card,) = shell.screen().cards
    assert "book seat" in card.text
    assert not card.is_recorded
    (answer,) = card.answers
    shell.touch(answer.intent)
    await _work(shell)
    assert session.entered == [given]
    assert shell.screen().cards == ()


def test_a_damaged_journal_is_said_until_that_is_understood() -> None:
    session = FakeSession(FakeTable(), Seat.BOOK)
    session.damaged = CorruptJournalError("x.journal", "3 blocks can't be read")
    shell = SeatShell(session, Settings())
    shell.touch(SwapBenches())
    (card,) = shell.screen().cards
    assert "x.journal: 3 blocks can't be read" in card.text
    shell.touch(card.answers[0].intent)
    assert shell.screen().cards == ()
