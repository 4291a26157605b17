"""Works out how courts stand; as a program, for the relay that has started it.

    python -m tablesync.court_work

It reads lists of tasks and answers each with a list of what was done, pickled, each
after its length in 4 bytes. It ends when its input does, so with its relay.

What is on record is told at once. The check of one record against the other, which can
take long, gets a short while before the answer, and all the time in which nothing is
asked: where there is more to do than can be done, findings are late, and not scores.
"""

from __future__ import annotations

import os
import pickle
import signal
import sys
import time
from queue import SimpleQueue
from threading import Thread
from typing import TYPE_CHECKING, BinaryIO

from tablesync.core.entries import digest_of
from tablesync.core.summary import changes
from tablesync.errors import RuleFileError
from tablesync.seal import unseal
from tablesync.sheet_bytes import read_sheet
from tablesync.sheet_rules import rules_of
from tablesync.sync.courts.codec import write_item
from tablesync.sync.courts.court import Court
from tablesync.sync.courts.jobs import LENGTH_BYTES, Done, Forget, Job
from tablesync.sync.courts.messages import PartOf

if TYPE_CHECKING:
    from collections.abc import Iterable

    from tablesync.core.summary import Summary
    from tablesync.sync.courts.jobs import Task

__all__ = ["Workshop"]

NICENESS = 5
"""The seats' entries go first where there are not cores enough."""
CHECK_S = 0.02
"""So long an answer waits for the check, which is through by then but for peaks."""


class Workshop:
    """The courts as far as they have been worked out."""

    def __init__(self) -> None:
        self._courts: dict[bytes, Court] = {}
        self._told: dict[bytes, Summary] = {}
        self._unchecked: dict[bytes, None] = {}
        self._touched: dict[bytes, None] = {}
        self._unknown: dict[bytes, None] = {}

    def do(self, tasks: Iterable[Task]) -> list[Done]:
        """Does the tasks in full, and tells what has changed by it."""
        self.take(tasks)
        while self.check_next():
            pass
        return self.done()

    def take(self, tasks: Iterable[Task]) -> None:
        """Takes the tasks in, in their order; what is to be checked is left."""
        for task in tasks:
            match task:
                case Forget(game):
                    self._forget(game)
                case Job():
                    self._take(task)

    def check_next(self) -> bool:
        """Checks a piece of the court that has waited longest; False if none waits."""
        game = next(iter(self._unchecked), None)
        if game is None:
            return False
        del self._unchecked[game]
        if self._courts[game].check():
            self._unchecked[game] = None
        self._touched[game] = None
        return True

    def done(self) -> list[Done]:
        """The courts that stand otherwise than when this was last asked."""
        done = [Done(game, None, is_signed=False) for game in self._unknown]
        for game in self._touched:
            court, summary = self._courts[game], self._courts[game].summary()
            changed = changes(self._told.get(game), summary)
            if changed:
                self._told[game] = summary
                items = {
                    int(place): write_item(PartOf(game, part))
                    for place, part in changed.items()
                }
                done.append(Done(game, items, court.is_signed))
        self._unknown.clear()
        self._touched.clear()
        return done

    def _take(self, job: Job) -> None:
        try:
            court = self._courts.get(job.game) or self._open(job)
        except RuleFileError:
            self._unknown[job.game] = None
            return
        fresh = [one for one in job.entries if digest_of(*one) not in court]
        entries = (unseal(*sealed) for sealed in fresh)
        court.take([*entries, *job.presences])
        self._touched[job.game] = None
        self._unchecked[job.game] = None

    def _open(self, job: Job) -> Court:
        sheet = read_sheet(job.sheet)
        court = Court(sheet, rules_of(sheet), job.game)
        self._courts[job.game] = court
        return court

    def _forget(self, game: bytes) -> None:
        for kept in (self._courts, self._told, self._unchecked, self._touched):
            kept.pop(game, None)


def _serve(tasks: BinaryIO, answers: BinaryIO) -> None:
    asked: SimpleQueue[bytes] = SimpleQueue()
    Thread(target=_read, args=(tasks, asked), daemon=True).start()
    workshop = Workshop()
    while True:
        while asked.empty() and workshop.check_next():
            pass
        if not (next_asked := asked.get()):
            return
        workshop.take(pickle.loads(next_asked))
        until = time.monotonic() + CHECK_S
        while time.monotonic() < until and workshop.check_next():
            pass
        answer = pickle.dumps(workshop.done())
        answers.write(len(answer).to_bytes(LENGTH_BYTES, "big") + answer)
        answers.flush()


def _read(tasks: BinaryIO, asked: SimpleQueue[bytes]) -> None:
    """Hands on what is asked, and nothing when the input has ended."""
    while header := tasks.read(LENGTH_BYTES):
        asked.put(tasks.read(int.from_bytes(header, "big")))
    asked.put(b"")


def _main() -> None:
    # Ctrl-C is for the relay, which ends this by closing its input.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if hasattr(os, "nice"):
        os.nice(NICENESS)
    _serve(sys.stdin.buffer, sys.stdout.buffer)


if __name__ == "__main__":
    _main()
