"""The courts' work is done by a process besides, and done again where that has gone."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING

import pytest

from tablesync.core.summary import PartPlace, Written
from tablesync.court_bench import (
    BenchBesides,
    BenchHere,
    LostWorkError,
    new_workbench,
)
from tablesync.sheet_bytes import write_sheet
from tablesync.sync.courts.codec import read_item
from tablesync.sync.courts.jobs import Forget, Job
from tablesync.sync.courts.messages import PartOf
from tablesync.sync.messages import Sealed
from tests.court_scene import missed_court

if TYPE_CHECKING:
    from collections.abc import AsyncIterator

    from tablesync.court_bench import Workbench
    from tablesync.sync.courts.jobs import Task

SCENARIO, MADE = missed_court()
SHEET = write_sheet(SCENARIO.sheet)
SEALED = tuple(Sealed(entry.payload, entry.signature) for entry in MADE.entries)
ALL = Job(MADE.game, SHEET, SEALED, ())


class Learned:
    """What a bench has told of one court, part by part."""

    def __init__(self, bench: Workbench) -> None:
        self.parts: dict[int, bytes] = {}
        self._bench = bench

    async def do(self, *tasks: Task) -> None:
        for done in await self._bench.do(tasks):
            assert done.changed is not None
            self.parts.update(done.changed)

    async def comes_to(self, parts: dict[int, bytes]) -> None:
        """Waits until all is checked, which a process besides does afterwards."""
        async with asyncio.timeout(5):
            while self.parts != parts:
                await self.do()

    @property
    def written(self) -> int:
        item = read_item(self.parts[PartPlace.WRITTEN])
        assert isinstance(item, PartOf)
        assert isinstance(item.part, Written)
        return item.part.entries


@pytest.fixture
async def besides() -> AsyncIterator[BenchBesides]:
    bench = BenchBesides()
    yield bench
    await bench.close()


async def all_of(*tasks: Task) -> dict[int, bytes]:
    """What tasks come to where they are done here."""
    here = Learned(BenchHere())
    await here.do(*tasks)
    return here.parts


async def test_process_besides_comes_to_the_same_as_this_one(
    besides: BenchBesides,
) -> None:
    court = Learned(besides)
    tasks = [Job(MADE.game, SHEET, SEALED[at : at + 1], ()) for at in range(5)]
    await court.do(*tasks)
    await court.comes_to(await all_of(*tasks))
    await court.do(ALL)
    assert court.written == len(SEALED)
    await court.comes_to(await all_of(ALL))
    first = Job(MADE.game, SHEET, SEALED[:1], ())
    await court.do(Forget(MADE.game), first)
    assert court.written == 1
    await court.comes_to(await all_of(first))


async def test_process_besides_says_later_what_it_has_not_got_to_at_once(
    besides: BenchBesides,
) -> None:
    court = Learned(besides)
    await court.do(ALL)
    await court.comes_to(await all_of(ALL))
    assert await besides.do([ALL]) == []
    assert await besides.do([]) == []


async def test_work_that_is_lost_is_said_so_and_can_be_done_again(
    besides: BenchBesides,
) -> None:
    await besides.do([ALL])
    assert besides._process is not None
    besides._process.kill()
    with pytest.raises(LostWorkError, match="is started anew"):
        await besides.do([ALL])
    court = Learned(besides)
    await court.do(ALL)
    assert set(court.parts) == set(PartPlace)
    await court.comes_to(await all_of(ALL))


async def test_process_ends_with_whoever_has_started_it(besides: BenchBesides) -> None:
    await besides.do([ALL])
    process = besides._process
    assert process is not None
    assert process.stdin is not None
    process.stdin.close()
    assert await asyncio.wait_for(process.wait(), timeout=5) == 0


async def test_work_is_done_here_where_no_program_can_be_started(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    assert isinstance(new_workbench(), BenchBesides)
    monkeypatch.setattr("sys.executable", "")
    assert isinstance(new_workbench(), BenchHere)


async def test_bench_that_was_never_used_is_closed_all_the_same() -> None:
    await BenchBesides().close()
    await BenchHere().close()
