"""Sees what is promised and done in a simulated game, and speaks up at the first wrong.

What can be seen only at the end is looked at by `invariants`.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from enum import StrEnum
from typing import TYPE_CHECKING

from tablesync.checkpoint import contradict, verify_countersignature
from tablesync.core.acts import Seat
from tablesync.core.merkle import MerkleTree
from tablesync.errors import BrokenInvariantError
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from collections.abc import Iterable

    from tablesync.checkpoint import Checkpoint, Countersignature
    from tablesync.core.entries import Entry
    from tablesync.core.findings import Finding
    from tablesync.core.vector_clock import DeviceId
    from tablesync.errors import EntryError, ProtocolError
    from tablesync.simulation.disk import Disk
    from tablesync.simulation.simulated_device import SimulatedDevice
    from tablesync.simulation.simulated_relay import SimulatedRelay

__all__ = ["Glimpse", "Invariant", "Witness"]


class Invariant(StrEnum):
    """What must hold in every game."""

    DURABLE = "what was acknowledged is on the relay's disk"
    KEPT = "what an official has entered is lost with the last copy only"
    WRITTEN = "nobody holds an entry that no device has written"
    KEPT_FIRST = "an entry is on its own device's disk before anybody else has it"
    EQUAL = "all hold the same entries, in the same order"
    SAME_GAME = "book, board and findings are those of a fresh fold"
    ANY_ORDER = "the order of arrival changes nothing"
    CAUSAL = "the common order never puts an entry before what it knew"
    NO_SILENT_FORK = "a fork has a cause, and everybody sees it"
    CHAINED = "each device's entries are gapless, linked, and stored in order"
    INDEPENDENT = "no seat's entry changes another seat's record"
    NO_FALSE_ALARM = "findings up to the horizon are final"
    NOT_SILENT = "whatever is refused is told"
    CHECKED = "checkpoints are over the relay's disk, and signed by who held the same"
    ONE_TOUCH = "what is touched once is entered once"
    BOUNDED = "nothing piles up"
    IN_SYNC = "after healing all are in sync within the bound"


@dataclass(frozen=True, slots=True)
class Glimpse:
    """What one device showed at some moment in the game."""

    device: str
    horizon_ms: int
    held: frozenset[bytes]
    """Digests of the entries that it held."""
    seats: tuple[Seat, ...]
    """Whose devices it had heard, and book and clock in any case."""
    findings: tuple[Finding, ...]


class Witness:
    """Watches one game."""

    def __init__(self) -> None:
        self.written: dict[bytes, Entry] = {}
        """Every entry that a device has written, by digest."""
        self.acknowledged: set[bytes] = set()
        """Those whose devices were told that they are on the relay's disk."""
        self.kept: set[bytes] = set()
        """Those that were on their own device's disk."""
        self.refused: Counter[str] = Counter()
        """How often each code was refused."""
        self.glimpses: list[Glimpse] = []
        self.late: list[str] = []
        """What came to a holder that had judged the time it was written for."""
        self.held: defaultdict[DeviceId, set[bytes]] = defaultdict(set)
        """What each device has ever held."""
        self.signed: dict[int, Checkpoint] = {}
        """The relay's checkpoints by the number of entries that each is over."""
        self.relay_disk: Disk | None = None
        """The disk that acknowledgements are about."""

    def saw_written(self, entry: Entry) -> None:
        """A device has written an entry, and it is on its way to its disk."""
        self.written[entry.digest] = entry

    def saw_kept(self, entries: Iterable[Entry]) -> None:
        """Entries are on a device's disk."""
        self.kept.update(entry.digest for entry in entries)

    def saw_taken(
        self, holder: SimulatedDevice | SimulatedRelay, entries: Iterable[Entry]
    ) -> None:
        """Somebody has taken entries in, and has drawn no conclusions from them yet."""
        for entry in entries:
            if entry.digest not in holder.game.history:
                raise BrokenInvariantError(
                    Invariant.EQUAL, f"{holder} has dropped {entry.id}"
                )
            if holder.game.history.place(entry).time_ms < holder.game.horizon_ms:
                self.late.append(f"{entry.id} came late to {holder}")
            if entry.digest not in self.written:
                raise BrokenInvariantError(
                    Invariant.WRITTEN, f"{holder} has taken {entry.id}"
                )
            if entry.digest not in self.kept:
                raise BrokenInvariantError(
                    Invariant.KEPT_FIRST, f"{holder} has taken {entry.id}"
                )

    def saw_acknowledged(self, device: SimulatedDevice, number: int) -> None:
        """A device has learnt that its entries up to a number are safe."""
        own = device.claim.key.device
        for entry in device.game.history:
            if entry.id.device == own and entry.id.number <= number:
                self.acknowledged.add(entry.digest)
        self.require_durable("at an acknowledgement")

    def require_durable(self, when: str) -> None:
        """Looks whether the relay's disk has what was acknowledged."""
        disk = self.relay_disk
        assert disk is not None
        for digest in self.acknowledged - disk.synced.rows.keys() - disk.lost:
            raise BrokenInvariantError(
                Invariant.DURABLE, f"{self.written[digest].id} is not, {when}"
            )

    def saw_held(self, device: DeviceId, entries: Iterable[Entry]) -> None:
        """A device holds these, or has at least seen them."""
        self.held[device].update(entry.digest for entry in entries)

    def saw_vouched(
        self, checkpoint: Checkpoint, by: Iterable[Countersignature]
    ) -> None:
        """The relay has signed a checkpoint, or devices have countersigned it."""
        disk = self.relay_disk
        assert disk is not None
        if disk.lost:
            # A relay that has forgotten something begins another list.
            return
        listed = list(disk.synced.rows)[: checkpoint.head.size]
        is_right = MerkleTree(listed).head() == checkpoint.head
        before = self.signed.setdefault(checkpoint.head.size, checkpoint)
        if not is_right or contradict(before, checkpoint):
            what = f"{checkpoint} is over something else"
            raise BrokenInvariantError(Invariant.CHECKED, what)
        for one in by:
            verify_countersignature(checkpoint, one)
            if not self.held[one.device].issuperset(listed):
                what = f"device {one.device.hex()[:8]} has countersigned {checkpoint}"
                raise BrokenInvariantError(Invariant.CHECKED, what)

    def saw_touched(self, device: SimulatedDevice, touches: int, came: int) -> None:
        """A key of a device was touched so often, and so often that came through."""
        if touches != came:
            what = f"{touches} on {device} came through as {came}"
            raise BrokenInvariantError(Invariant.ONE_TOUCH, what)

    def saw_refused(self, error: EntryError | ProtocolError) -> None:
        """The relay has refused something, and noted it for its log."""
        self.refused[error.code] += 1

    def saw_shown(self, device: SimulatedDevice) -> None:
        """Somebody looks at a device's screen."""
        game = device.game
        held = frozenset(entry.digest for entry in game.history)
        heard = {presence.seat for presence in device.side.roll}
        seats = tuple(s for s in Seat if s is not Seat.VISITING or s in heard)
        self.glimpses.append(
            Glimpse(str(device), game.horizon_ms, held, seats, game.open_findings())
        )
