from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING

from mobile.journals import begin, begun_games
from tablesync.client import DeviceSession
from tablesync.clock import VirtualClock
from tablesync.core.acts import Basket, OpenPeriod, Seat, Side, Signer, SignOff
from tablesync.sync.timing import Timing
from tests.scribe import SHEET

if TYPE_CHECKING:
    from pathlib import Path

    from tablesync.core.acts import Act


async def _play(folder: Path, seat: Seat, *acts: Act) -> None:
    journal = await begin(folder, seat, SHEET)
    session = await DeviceSession.open(journal, VirtualClock(1_000), Timing())
    async with session:
        for act in acts:
            await session.enter(act)


async def test_a_game_that_was_begun_is_found_with_what_was_entered(
    tmp_path: Path,
) -> None:
    await _play(tmp_path, Seat.BOOK, OpenPeriod(1), Basket(Side.HOME, "4", 2))
    (begun,) = await begun_games(tmp_path)
    assert (begun.seat, begun.sheet, begun.is_closed) == (Seat.BOOK, SHEET, False)
    assert begun.game.book.tally.score.home == 2


async def test_beginning_it_again_goes_on_with_the_same_journal(tmp_path: Path) -> None:
    await _play(tmp_path, Seat.BOOK, OpenPeriod(1))
    await _play(tmp_path, Seat.BOOK, Basket(Side.HOME, "4", 2))
    (begun,) = await begun_games(tmp_path)
    assert len(begun.game.history) == 2


async def test_a_signed_game_is_closed(tmp_path: Path) -> None:
    await _play(tmp_path, Seat.BOOK, SignOff(Signer.REFEREE, "V. Lind"))
    (begun,) = await begun_games(tmp_path)
    assert begun.is_closed


async def test_what_is_no_journal_is_passed_over(tmp_path: Path) -> None:
    old = tmp_path / "old.journal"
    await asyncio.to_thread(old.write_bytes, b"not a journal")
    await _play(tmp_path, Seat.CLOCK, OpenPeriod(1))
    assert [begun.seat for begun in await begun_games(tmp_path)] == [Seat.CLOCK]


async def test_a_journal_that_is_in_use_is_passed_over(tmp_path: Path) -> None:
    async with await begin(tmp_path, Seat.BOOK, SHEET):
        assert await begun_games(tmp_path) == ()
