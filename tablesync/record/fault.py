"""What can be wrong with a record file, and whose fault it is."""

from __future__ import annotations

from enum import Enum, auto

from tablesync.frozen import dataclass

__all__ = ["Fault", "FaultKind"]


class FaultKind(Enum):
    """Whose fault it is."""

    OF_FILE = auto()
    """The file is not as it was made, or was made wrongly."""
    OF_DEVICE = auto()
    """The file keeps what a device did that it must not do."""


@dataclass(frozen=True, slots=True)
class Fault:
    """Something in a record file that must not be."""

    where: str
    """The entry, by its place in the file and its id, or another part of the file."""
    what: str
    kind: FaultKind = FaultKind.OF_FILE

    def __str__(self) -> str:
        return f"{self.where}: {self.what}"
