"""Keeps a log short when strangers try to make it long."""

from __future__ import annotations

from logging import WARNING, Filter
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from logging import LogRecord

__all__ = ["Sparing"]

MOST_A_SECOND = 20


class Sparing(Filter):
    """Lets so many warnings of a second through, and says how many it has kept back.

    Errors always come through: they are about the relay itself.
    """

    def __init__(self, most: int = MOST_A_SECOND) -> None:
        super().__init__()
        self._most = most
        self._second = 0
        self._said = 0
        self._kept_back = 0

    def filter(self, record: LogRecord) -> bool:
        """Whether it is said; the first of a second also tells of those before."""
        if record.levelno > WARNING:
            return True
        if int(record.created) != self._second:
            self._second, self._said = int(record.created), 0
            if self._kept_back:
                record.msg = f"{record.msg} (and {self._kept_back} more before)"
                self._kept_back = 0
        self._said += 1
        if self._said > self._most:
            self._kept_back += 1
            return False
        return True
