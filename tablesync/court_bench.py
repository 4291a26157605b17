"""Where the courts' work is done: in a process of its own, or here between other turns.

The check of a whole game can take long, and its memory long to be looked through. In a
process of its own neither holds up the relay, where every seat would wait for it.
"""

from __future__ import annotations

import asyncio
import pickle
import sys
from asyncio.subprocess import PIPE
from typing import TYPE_CHECKING, Protocol

from tablesync.errors import TableSyncError
from tablesync.sync.courts.jobs import LENGTH_BYTES

if TYPE_CHECKING:
    from asyncio.subprocess import Process
    from collections.abc import Sequence

    from tablesync.sync.courts.jobs import Done, Task

__all__ = ["BenchBesides", "BenchHere", "LostWorkError", "Workbench", "new_workbench"]

PROGRAM = "tablesync.court_work"
END_S = 2.0


class LostWorkError(TableSyncError):
    """Whoever did the work has gone, with all that it had worked out."""

    def __str__(self) -> str:
        return "the process that sums up the courts has ended; it is started anew"


class Workbench(Protocol):
    """Who does the work, one call at a time."""

    async def do(self, tasks: Sequence[Task]) -> list[Done]:
        """Does the tasks; see `court_work.Workshop`.

        Raises:
            LostWorkError: all that was done before has to be done again.
        """

    async def close(self) -> None:
        """Ends the work."""


class BenchHere:
    """Does it in this process, with turns for others in between."""

    def __init__(self) -> None:
        # Its rules take long to import.
        from tablesync.court_work import Workshop

        self._workshop = Workshop()

    async def do(self, tasks: Sequence[Task]) -> list[Done]:
        """See `Workbench`."""
        for task in tasks:
            self._workshop.take([task])
            await asyncio.sleep(0)
        has_more = True
        while has_more:
            has_more = self._workshop.check_next()
            await asyncio.sleep(0)
        return self._workshop.done()

    async def close(self) -> None:
        """See `Workbench`."""


class BenchBesides:
    """Has it done by a process besides, which is started with the first task."""

    def __init__(self) -> None:
        self._process: Process | None = None

    async def do(self, tasks: Sequence[Task]) -> list[Done]:
        """See `Workbench`."""
        try:
            return await self._ask(pickle.dumps(list(tasks)))
        except (OSError, asyncio.IncompleteReadError) as error:
            self._drop()
            raise LostWorkError from error
        except BaseException:
            # An answer that nobody has waited for would be taken for the next.
            self._drop()
            raise

    async def _ask(self, asked: bytes) -> list[Done]:
        if self._process is None:
            self._process = await asyncio.create_subprocess_exec(
                sys.executable, "-m", PROGRAM, stdin=PIPE, stdout=PIPE
            )
        tasks, answers = self._process.stdin, self._process.stdout
        assert tasks is not None
        assert answers is not None
        tasks.write(len(asked).to_bytes(LENGTH_BYTES, "big") + asked)
        length = int.from_bytes(await answers.readexactly(LENGTH_BYTES), "big")
        done: list[Done] = pickle.loads(await answers.readexactly(length))
        return done

    def _drop(self) -> None:
        if self._process is not None and self._process.returncode is None:
            self._process.kill()
        self._process = None

    async def close(self) -> None:
        """See `Workbench`."""
        if self._process is None:
            return
        assert self._process.stdin is not None
        self._process.stdin.close()
        try:
            await asyncio.wait_for(self._process.wait(), END_S)
        except TimeoutError:
            self._process.kill()
            await self._process.wait()


def new_workbench() -> Workbench:
    """The best there is on this machine: not everywhere can programs be started."""
    return BenchBesides() if sys.executable else BenchHere()
