"""How entries from the other end come into what a holder has."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from tablesync.core.entries import digest_of
from tablesync.core.history import History
from tablesync.seal import unseal, verify

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

    from tablesync.core.acts import EntryId, Seat
    from tablesync.core.entries import Entry
    from tablesync.sync.messages import Heads, Sealed

__all__ = ["Archive", "Holder", "lacks", "take_in"]


class Holder(Protocol):
    """One game as its holder has it. `core.game.Game` is one, with the check on top."""

    @property
    def history(self) -> History:
        """The entries held."""

    def receive(self, entry: Entry) -> tuple[Entry, ...]:
        """Takes an entry in; see `History.add`."""

    def hear(self, seat: Seat, last: EntryId, time_ms: int) -> None:
        """Learns that a device writes nothing after `last` with an earlier time."""


class Archive:
    """A holder that keeps the entries and draws no conclusions from them."""

    def __init__(self, game: bytes) -> None:
        self.history = History(game)

    def receive(self, entry: Entry) -> tuple[Entry, ...]:
        """Takes an entry in; see `History.add`."""
        return self.history.add(entry)

    def hear(self, seat: Seat, last: EntryId, time_ms: int) -> None:
        """Needs no horizon, since nothing is judged."""


def take_in(
    holder: Holder,
    arrived: Iterable[Sealed],
    check: Callable[[Sequence[Entry]], None] = lambda _: None,
) -> Iterator[Entry]:
    """Takes entries from the other end in, and gives those that have come in by it.

    All are read and their signatures verified before the first is taken.

    Args:
        holder: what takes them.
        arrived: as they came.
        check: looks at those that are new and verified, and raises EntryError where one
            of them may not come in.

    Raises:
        EntryError: one of them can't be taken. What was given before that is in.
    """
    history = holder.history
    fresh = [unseal(*sealed) for sealed in arrived if digest_of(*sealed) not in history]
    for entry in fresh:
        verify(entry)
    check(fresh)
    for entry in fresh:
        yield from holder.receive(entry)


def lacks(history: History, theirs: Heads) -> bool:
    """Whether whoever has these heads has something that is not held here."""
    return any(
        head.digest not in history for newest in theirs.values() for head in newest
    )
