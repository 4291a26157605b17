"""Named points in the shells at which a test can let something go wrong.

In production nobody is told of them and nothing happens there: only a test arms them,
in its own process, with what is to happen.
"""

from __future__ import annotations

from contextlib import contextmanager
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

__all__ = ["AT_ENTRIES", "FaultPoint", "armed", "reach"]


class FaultPoint(StrEnum):
    """A place on the way to the disk or the network."""

    BEFORE_WRITE = "before a write"
    """A transaction is about to begin."""
    BEFORE_COMMIT = "before a commit"
    """The statements are carried out, and the transaction is open."""
    AFTER_COMMIT = "after a commit"
    """It is on the disk, and nobody has been told."""
    BEFORE_SENDING = "before frames go out"
    AMID_SENDING = "after frames have gone out to one end"
    """What there is for the others has not."""

    BEFORE_CHECKPOINT = "before a store's log is moved into its file"
    AFTER_CHECKPOINT = "after a store's log was moved into its file"
    AMID_FILE = "amid a file that is written out"
    """A part of it is there, under a name of its own."""


AT_ENTRIES = (
    FaultPoint.BEFORE_WRITE,
    FaultPoint.BEFORE_COMMIT,
    FaultPoint.AFTER_COMMIT,
    FaultPoint.BEFORE_SENDING,
    FaultPoint.AMID_SENDING,
)
"""The points that every entry comes by, at a device and at a relay."""

_armed: list[Callable[[FaultPoint], None]] = []


def reach(point: FaultPoint) -> None:
    """Says that a point is reached."""
    for happen in _armed:
        happen(point)


@contextmanager
def armed(happen: Callable[[FaultPoint], None]) -> Iterator[None]:
    """Lets something happen at every point that is reached meanwhile.

    What it raises is raised there. At the commit points an error of SQLite or of the
    system counts as one of the disk.
    """
    _armed.append(happen)
    try:
        yield
    finally:
        _armed.remove(happen)
