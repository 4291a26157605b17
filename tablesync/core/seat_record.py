"""The entries of one seat in order, and which of them stand.

A struck entry has no effect but stays on record. A strike can be struck too: then what
it struck stands again. A strike reaches only back, so what is in force follows from the
newest to the oldest without a loop.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.acts import Strike

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tablesync.core.acts import EntryId
    from tablesync.core.entries import Entry

__all__ = ["SeatRecord"]


class SeatRecord:
    """What one seat has put on record; book, board and check all read strikes here."""

    def __init__(self) -> None:
        self._entries: list[Entry] = []
        self._ids: set[EntryId] = set()
        self._strikes: list[Entry] = []
        self._idle: list[Entry] = []
        self._struck: frozenset[EntryId] = frozenset()

    def __len__(self) -> int:
        return len(self._entries)

    def __iter__(self) -> Iterator[Entry]:
        """Every entry in order, struck ones and strikes included."""
        return iter(self._entries)

    @property
    def struck(self) -> frozenset[EntryId]:
        """The entries that are struck out, strikes among them."""
        return self._struck

    @property
    def idle_strikes(self) -> tuple[Entry, ...]:
        """Strikes of something that is no earlier entry of this seat: no effect."""
        return tuple(self._idle)

    def take(self, entry: Entry) -> bool:
        """Puts the seat's next entry on record.

        Returns:
            Whether it changes what earlier entries amount to, so that `standing` has to
            be folded anew; otherwise it is the last of `standing`.
        """
        reaches_back = False
        match entry.act:
            case Strike(target=target) if target in self._ids:
                self._strikes.append(entry)
                self._struck = self._resolved()
                reaches_back = True
            case Strike():
                self._idle.append(entry)
            case _:
                pass
        self._entries.append(entry)
        self._ids.add(entry.id)
        return reaches_back

    def standing(self) -> Iterator[Entry]:
        """The entries that count, in order."""
        return (entry for entry in self._entries if entry.id not in self._struck)

    def _resolved(self) -> frozenset[EntryId]:
        struck: set[EntryId] = set()
        for strike in reversed(self._strikes):
            if strike.id not in struck and isinstance(strike.act, Strike):
                struck.add(strike.act.target)
        return frozenset(struck)
