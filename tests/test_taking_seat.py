"""Taking a seat with nothing but an invitation."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING

import pytest

from tablesync.core.acts import Seat, SeatGiven, SeatTaken
from tablesync.errors import BadInputError, RefusedError
from tablesync.journal import Journal
from tablesync.sheet_bytes import write_sheet
from tablesync.sync.timing import Timing
from tablesync.taking_seat import take_seat
from tests.guarded import Hall
from tests.sync.table import SHEET

if TYPE_CHECKING:
    from collections.abc import AsyncIterator
    from pathlib import Path


@pytest.fixture
async def hall(tmp_path: Path) -> AsyncIterator[Hall]:
    async with Hall(tmp_path, timing=Timing()) as hall:
        yield hall


def unasked(text: str) -> None:
    raise AssertionError(text)


async def test_invitation_brings_the_game_and_a_journal_that_is_let_in_again(
    hall: Hall, tmp_path: Path
) -> None:
    invitation = await hall.invitation(Seat.BOOK)
    sheet = await take_seat(invitation, tmp_path, unasked)
    assert write_sheet(sheet) == SHEET
    path = tmp_path / f"{invitation.game.hex()[:16]}-book.journal"
    async with await Journal.open(path) as journal:
        key = journal.claim.key
    assert await take_seat(invitation, tmp_path, unasked) == sheet
    session = await hall.session_at(path)
    await session.connect(str(hall.address))
    await session.wait_for(lambda: session.is_quiet)
    (entry,) = session.game.history
    assert (entry.id.device, type(entry.act)) == (key.device, SeatTaken)


async def test_used_invitation_takes_no_seat(hall: Hall, tmp_path: Path) -> None:
    invitation = await hall.invitation(Seat.BOOK)
    book = await hall.device(Seat.BOOK)
    await book.connect(str(invitation))
    await book.wait_for(lambda: book.is_quiet)
    with pytest.raises(RefusedError, match="has been used"):
        await take_seat(invitation, tmp_path, unasked)


async def test_new_device_says_what_it_waits_for_and_goes_on_when_confirmed(
    hall: Hall, tmp_path: Path
) -> None:
    await hall.seated(Seat.BOOK)
    clock = await hall.seated(Seat.CLOCK)
    told: list[str] = []
    invitation = await hall.invitation(Seat.BOOK)
    taking = asyncio.create_task(take_seat(invitation, tmp_path, told.append))
    await clock.wait_for(lambda: bool(clock.asking))
    (device,) = clock.asking
    await clock.enter(SeatGiven(Seat.BOOK, device))
    assert write_sheet(await taking) == SHEET
    assert len(told) == 1
    assert "must confirm" in told[0]


async def test_invitation_to_look_on_takes_no_seat(hall: Hall, tmp_path: Path) -> None:
    with pytest.raises(BadInputError, match="looking on"):
        await take_seat(await hall.invitation(None), tmp_path, unasked)
