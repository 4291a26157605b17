"""How entries from the other end come into what a holder has."""

from __future__ import annotations

from dataclasses import field
from typing import TYPE_CHECKING, Protocol

from tablesync.core.history import History
from tablesync.errors import EntryError, ProtocolError
from tablesync.frozen import dataclass
from tablesync.seal import is_sealed, unseal, verify
from tablesync.sync.codec import ROOM_FOR_ENTRIES, decode, page_size
from tablesync.sync.messages import Entries

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from tablesync.core.acts import EntryId, Seat
    from tablesync.core.entries import Entry
    from tablesync.core.vector_clock import DeviceId
    from tablesync.sync.messages import Heads, Message, Sealed

__all__ = [
    "Archive",
    "Arrivals",
    "Batch",
    "Holder",
    "lacks",
    "read_frames",
    "take_in",
]


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


@dataclass(slots=True)
class Batch:
    """Entries that have arrived together: read, and not yet believed.

    An entry's digest covers its signature too, and the device's next entry links to it.
    So whoever finds the signature of a device's newest entry valid knows that the
    device stands by every entry that it leads to, as the very bytes that are here. What
    is not known of those is whether their own signatures are valid, since a device can
    have linked to one that it had itself made wrong; `seal.verify` tells.

    A newest entry vouches for no more than fits a page. So whoever passes such entries
    on, in whatever pages, has at least one that begins with the first of them and holds
    the one that vouches for it.
    """

    entries: list[Entry]
    is_vouched_for: bool = False
    """Whether the signatures of the newest ones have been found valid."""
    size: int = field(init=False, compare=False)
    """How much of a page they take."""

    def __post_init__(self) -> None:
        self.size = page_size(self.entries)

    def add(self, entries: list[Entry]) -> bool:
        """Adds what came next, where all fit a page, and says whether they do."""
        size = self.size + page_size(entries)
        fits = size <= ROOM_FOR_ENTRIES
        if fits:
            self.entries += entries
            self.size = size
        return fits

    def newest(self) -> list[Entry]:
        """Those that no other entry of their device here links to.

        All, where they are more than a page, which no honest end sends.
        """
        if self.size > ROOM_FOR_ENTRIES or len(self.entries) == 1:
            return self.entries
        linked = {(entry.id.device, entry.link) for entry in self.entries}
        return [e for e in self.entries if (e.id.device, e.digest) not in linked]

    def believed(self) -> list[Entry]:
        """Those that are signed, or that a signed entry of their device leads to."""
        if self.is_vouched_for:
            return self.entries
        found: list[Entry] = []
        led_to: set[tuple[DeviceId, bytes]] = set()
        for entry in reversed(self.entries):
            if (entry.id.device, entry.digest) in led_to or is_sealed(entry):
                led_to.add((entry.id.device, entry.link))
                found.append(entry)
        return found[::-1]


@dataclass(frozen=True, slots=True)
class Arrivals:
    """What has come from the other end, read in its order."""

    steps: list[Message | Batch]
    error: EntryError | ProtocolError | None
    """What is wrong with what came after these steps."""

    def batches(self) -> list[Batch]:
        """The entries among them; those in one batch came in a row."""
        return [step for step in self.steps if isinstance(step, Batch)]

    def vouch(self) -> None:
        """Verifies the newest entries of each batch, as `server` does elsewhere."""
        for batch in self.batches():
            batch.is_vouched_for = all(map(is_sealed, batch.newest()))


def read_frames(frames: Iterable[bytes | str], history: History) -> Arrivals:
    """Reads frames up to the first that is wrong. What is held already is left out."""
    steps: list[Message | Batch] = []
    for frame in frames:
        try:
            message = decode(frame)
            if isinstance(message, Entries):
                _gather(steps, _fresh(message.entries, history))
            else:
                steps.append(message)
        except (EntryError, ProtocolError) as error:
            return Arrivals(steps, error)
    return Arrivals(steps, None)


def _fresh(arrived: Iterable[Sealed], history: History) -> list[Entry]:
    entries = [unseal(*sealed) for sealed in arrived]
    return [entry for entry in entries if entry.digest not in history]


def _gather(steps: list[Message | Batch], entries: list[Entry]) -> None:
    last = steps[-1] if steps else None
    if not (isinstance(last, Batch) and last.add(entries)):
        steps.append(Batch(entries))


def take_in(holder: Holder, batch: Batch) -> Iterator[Entry]:
    """Takes a batch's entries in, and gives those that have come in by it.

    Where the newest don't vouch for the batch, all are taken that others vouch for. The
    rest may be vouched for by what comes on the next page: asked for what is missing
    then, the other end begins a page with it.

    Raises:
        EntryError: one of them can't be taken. What was given before that is in.
    """
    believed = batch.believed()
    for entry in believed:
        yield from holder.receive(entry)
    if len(believed) < len(batch.entries):
        known = {entry.digest for entry in believed}
        verify(next(e for e in batch.entries if e.digest not in known))


def lacks(history: History, theirs: Heads) -> bool:
    """Whether whoever has these heads has something that is not held here."""
    return any(
        head.digest not in history for newest in theirs.values() for head in newest
    )
