"""Who may be connected at once, and who has to make room for whom.

A caller is mute until it has sent something, a stranger until its device is let in, and
known from then on. Each has a place of its own, so that no number of strangers takes
one from a device of a game, and no number of the mute costs what a handshake does.
Where a place is full the one that has dawdled longest goes, since who belongs here is
let in within a moment.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import NamedTuple

from tablesync.frozen import dataclass

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
    """Of one address, the mute ones too."""
    most_mute: int = 4_096

    def within(self, files: int) -> Limits:
        """The same, where the system lets a program have so many files open."""
        return replace(
            self,
            most=min(self.most, files // 2),
            most_mute=min(self.most_mute, files // 4),
            most_strangers=min(self.most_strangers, files // 8),
        )


class Crowd:
    """The connections that there are."""

    def __init__(self, limits: Limits) -> None:
        self.turned_away = 0
        """How many were refused or had to make room so far."""
        self._limits = limits
        self._mute: dict[Caller, None] = {}
        """Who has waited longest is first."""
        self._strangers: dict[Caller, bool] = {}
        """Whether each has come as far as a greeting; the longest there is first."""
        self._known: set[Caller] = set()
        self._of_host: Counter[str] = Counter()
        self._unknown_of_host: Counter[str] = Counter()

    def __len__(self) -> int:
        return len(self._mute) + len(self._strangers) + len(self._known)

    @property
    def strangers(self) -> int:
        """How many have spoken and have not been let in."""
        return len(self._strangers)

    def may_come(self, host: str) -> bool:
        """Whether there is room for one more from an address; counts the refusal."""
        limits = self._limits
        is_free = (
            self._of_host[host] < limits.most_from_one
            and self._unknown_of_host[host] < limits.most_strangers_from_one
            and len(self._known) < limits.most
        )
        if not is_free:
            self.turned_away += 1
        return is_free

    def come(self, caller: Caller) -> Caller | None:
        """Somebody calls, and is mute; names who has to leave for it, if anybody."""
        self._mute[caller] = None
        self._of_host[caller.host] += 1
        self._unknown_of_host[caller.host] += 1
        return self._too_many(self._mute, self._limits.most_mute)

    def speak(self, caller: Caller) -> Caller | None:
        """The caller has sent something; names who has to leave for it, if anybody."""
        del self._mute[caller]
        self._strangers[caller] = False
        return self._too_many(self._strangers, self._limits.most_strangers)

    def _too_many(
        self, place: dict[Caller, None] | dict[Caller, bool], most: int
    ) -> Caller | None:
        if len(place) <= most:
            return None
        self.turned_away += 1
        return next(iter(place))

    def greet(self, caller: Caller) -> None:
        """The stranger is being talked to: what becomes of it is said elsewhere."""
        if caller in self._strangers:
            self._strangers[caller] = True

    def let_in(self, caller: Caller) -> None:
        """The stranger has been let in."""
        if caller in self._strangers:
            del self._strangers[caller]
            _take_one(self._unknown_of_host, caller.host)
            self._known.add(caller)

    def leave(self, caller: Caller) -> bool:
        """The connection has ended; tells whether that was before a greeting."""
        is_unknown = caller in self._mute or caller in self._strangers
        is_early = is_unknown and not self._strangers.get(caller, False)
        self._mute.pop(caller, None)
        self._strangers.pop(caller, None)
        self._known.discard(caller)
        if is_unknown:
            _take_one(self._unknown_of_host, caller.host)
        _take_one(self._of_host, caller.host)
        return is_early


def _take_one(counter: Counter[str], host: str) -> None:
    counter[host] -= 1
    if not counter[host]:
        del counter[host]
