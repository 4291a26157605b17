"""Who may be connected at once, and who has to make room for whom.

Strangers are those that have not been let in yet. They have a place of their own, so
that no number of them takes one from a device of a game; and when it is full the one
that has dawdled longest goes, since who belongs here is let in within a moment.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import NamedTuple

__all__ = ["Caller", "Crowd", "Limits"]


class Caller(NamedTuple):
    """One connection, by where it comes from."""

    host: str
    port: int


@dataclass(frozen=True, slots=True)
class Limits:
    """How many connections a relay has at once."""

    most: int = 2_048
    """Of devices that have been let in."""
    most_from_one: int = 64
    """Of one address, let in or not."""
    most_strangers: int = 256
    most_strangers_from_one: int = 16


class Crowd:
    """The connections that there are."""

    def __init__(self, limits: Limits) -> None:
        self.turned_away = 0
        """How many were refused or had to make room so far."""
        self._limits = limits
        self._strangers: dict[Caller, bool] = {}
        """Whether each has come as far as to talk; who has waited longest is first."""
        self._known: set[Caller] = set()
        self._of_host: Counter[str] = Counter()
        self._strangers_of_host: Counter[str] = Counter()

    def __len__(self) -> int:
        return len(self._strangers) + len(self._known)

    @property
    def strangers(self) -> int:
        """How many have not been let in."""
        return len(self._strangers)

    def may_come(self, host: str) -> bool:
        """Whether there is room for one more from an address; counts the refusal."""
        limits = self._limits
        is_free = (
            self._of_host[host] < limits.most_from_one
            and self._strangers_of_host[host] < limits.most_strangers_from_one
            and len(self._known) < limits.most
        )
        if not is_free:
            self.turned_away += 1
        return is_free

    def come(self, caller: Caller) -> Caller | None:
        """Takes a stranger in, and names the one who has to leave for it, if any."""
        self._strangers[caller] = False
        self._of_host[caller.host] += 1
        self._strangers_of_host[caller.host] += 1
        if len(self._strangers) <= self._limits.most_strangers:
            return None
        self.turned_away += 1
        return next(iter(self._strangers))

    def hear(self, caller: Caller) -> None:
        """The stranger can talk now: whatever becomes of it is said elsewhere."""
        if caller in self._strangers:
            self._strangers[caller] = True

    def let_in(self, caller: Caller) -> None:
        """The stranger has been let in."""
        if caller in self._strangers:
            self._forget_stranger(caller)
            self._known.add(caller)

    def leave(self, caller: Caller) -> bool:
        """The connection has ended; tells whether it never came as far as to talk."""
        has_talked = self._strangers.get(caller, True)
        if caller in self._strangers:
            self._forget_stranger(caller)
        self._known.discard(caller)
        _take_one(self._of_host, caller.host)
        return not has_talked

    def _forget_stranger(self, caller: Caller) -> None:
        del self._strangers[caller]
        _take_one(self._strangers_of_host, caller.host)


def _take_one(counter: Counter[str], host: str) -> None:
    counter[host] -= 1
    if not counter[host]:
        del counter[host]
