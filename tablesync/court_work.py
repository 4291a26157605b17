"""Works out how courts stand; as a program, for the relay that has started it.

    python -m tablesync.court_work

It reads lists of tasks and answers each with a list of what was done, pickled, each
after its length in 4 bytes. It ends when its input does, so with its relay.
"""

from __future__ import annotations

import os
import pickle
import signal
import sys
from typing import TYPE_CHECKING, BinaryIO

from tablesync.core.entries import digest_of
from tablesync.errors import RuleFileError
from tablesync.seal import unseal
from tablesync.sheet_bytes import read_sheet
from tablesync.sheet_rules import rules_of
from tablesync.sync.courts.court import Court
from tablesync.sync.courts.jobs import LENGTH_BYTES, Done, Forget, Job

if TYPE_CHECKING:
    from collections.abc import Iterable

    from tablesync.sync.courts.jobs import Task

__all__ = ["Workshop"]

NICENESS = 5
"""The seats' entries go first where there are not cores enough."""


class Workshop:
    """The courts as far as they have been worked out."""

    def __init__(self) -> None:
        self._courts: dict[bytes, Court] = {}

    def do(self, tasks: Iterable[Task]) -> list[Done]:
        """Does the tasks in their order, and tells of each court that was worked on."""
        done: list[Done] = []
        for task in tasks:
            match task:
                case Forget(game):
                    self._courts.pop(game, None)
                case Job():
                    done.append(self._work(task))
        return done

    def _work(self, job: Job) -> Done:
        try:
            court = self._courts.get(job.game) or self._open(job)
        except RuleFileError:
            return Done(job.game, None, is_signed=False)
        fresh = [one for one in job.entries if digest_of(*one) not in court]
        entries = (unseal(*sealed) for sealed in fresh)
        court.take([*entries, *job.presences])
        return Done(job.game, court.summary(), court.is_signed)

    def _open(self, job: Job) -> Court:
        sheet = read_sheet(job.sheet)
        court = Court(sheet, rules_of(sheet), job.game)
        self._courts[job.game] = court
        return court


def _serve(tasks: BinaryIO, answers: BinaryIO) -> None:
    workshop = Workshop()
    while header := tasks.read(LENGTH_BYTES):
        asked = pickle.loads(tasks.read(int.from_bytes(header, "big")))
        answer = pickle.dumps(workshop.do(asked))
        answers.write(len(answer).to_bytes(LENGTH_BYTES, "big") + answer)
        answers.flush()


def _main() -> None:
    # Ctrl-C is for the relay, which ends this by closing its input.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if hasattr(os, "nice"):
        os.nice(NICENESS)
    _serve(sys.stdin.buffer, sys.stdout.buffer)


if __name__ == "__main__":
    _main()
