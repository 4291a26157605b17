"""What is to be worked out of a court, and what it came to: plain values.

They go to whoever does the work, which may be another process.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from collections.abc import Mapping

    from tablesync.sync.messages import Presence, Sealed

__all__ = ["LENGTH_BYTES", "Done", "Forget", "Job", "Task"]

LENGTH_BYTES = 4
"""How long the length is that goes before tasks or answers between processes."""


@dataclass(frozen=True, slots=True)
class Job:
    """Take these into a court, which is a new one where it is not known."""

    game: bytes
    sheet: bytes
    entries: tuple[Sealed, ...]
    presences: tuple[Presence, ...]


@dataclass(frozen=True, slots=True)
class Forget:
    """The court is no longer of interest."""

    game: bytes


Task: TypeAlias = Job | Forget


@dataclass(frozen=True, slots=True)
class Done:
    """How a court stands that stands otherwise than before."""

    game: bytes
    changed: Mapping[int, bytes] | None
    """By its `core.summary.PartPlace` each changed part, as an item of a frame,
    so that a relay has no more to do than to hand it on. None where its rules are not
    known here."""
    is_signed: bool
