"""The courts' work is done by a process besides, and done again where that has gone."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING

import pytest

from tablesync.core.summary import Place, Written
from tablesync.court_bench import (
    BenchBesides,
    BenchHere,
    LostWorkError,
    new_workbench,
)
from tablesync.sheet_bytes import write_sheet
from tablesync.sync.courts.codec import read_item
from tablesync.sync.courts.jobs import Done, Forget, Job
from tablesync.sync.courts.messages import PartOf
from tablesync.sync.messages import Sealed
from tests.court_scene import missed_court

if TYPE_CHECKING:
    from collections.abc import AsyncIterator

SCENARIO, MADE = missed_court()
SHEET = write_sheet(SCENARIO.sheet)
SEALED = tuple(Sealed(entry.payload, entry.signature) for entry in MADE.entries)
ALL = Job(MADE.game, SHEET, SEALED, ())


def written(done: Done) -> int:
    """How many entries a court has come to."""
    assert done.changed is not None
    item = read_item(done.changed[Place.WRITTEN])
    assert isinstance(item, PartOf)
    assert isinstance(item.part, Written)
    return item.part.entries


@pytest.fixture
async def besides() -> AsyncIterator[BenchBesides]:
    bench = BenchBesides()
    yield bench
    await bench.close()


async def test_process_besides_comes_to_the_same_as_this_one(
    besides: BenchBesides,
) -> None:
    here = BenchHere()
    tasks = [Job(MADE.game, SHEET, SEALED[at : at + 1], ()) for at in range(5)]
    assert await besides.do(tasks) == await here.do(tasks)
    (done,) = await besides.do([ALL])
    assert [done] == await here.do([ALL])
    assert written(done) == len(SEALED)
    await besides.do([Forget(MADE.game)])
    (anew,) = await besides.do([Job(MADE.game, SHEET, SEALED[:1], ())])
    assert written(anew) == 1


async def test_court_is_told_of_only_when_it_stands_otherwise(
    besides: BenchBesides,
) -> None:
    assert len(await besides.do([ALL])) == 1
    assert await besides.do([ALL]) == []
    assert await besides.do([]) == []


async def test_work_that_is_lost_is_said_so_and_can_be_done_again(
    besides: BenchBesides,
) -> None:
    (before,) = await besides.do([ALL])
    assert besides._process is not None
    besides._process.kill()
    with pytest.raises(LostWorkError, match="is started anew"):
        await besides.do([ALL])
    assert await besides.do([ALL]) == [before]


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
