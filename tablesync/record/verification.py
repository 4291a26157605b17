"""Whether a record file is sound: every hash, number, signature, chain and checkpoint.

It needs nothing but the file, and believes nothing in it that it can check.
"""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING

from tablesync.checkpoint import verify_checkpoint, verify_countersignature
from tablesync.core.acts import EntryId
from tablesync.core.entries import digest_of
from tablesync.core.game import Game
from tablesync.core.history import History
from tablesync.core.merkle import MerkleTree
from tablesync.errors import (
    BadSignatureError,
    CheckpointError,
    EntryError,
    RecordFileError,
    SheetError,
)
from tablesync.frozen import dataclass
from tablesync.record.admissions import faults_of_admissions
from tablesync.record.blocks import fingerprint
from tablesync.record.fault import Fault, FaultKind
from tablesync.record.file import entry_name, read_record
from tablesync.seal import is_sealed, unseal, verify
from tablesync.sheet_bytes import game_id, read_sheet
from tablesync.sheet_rules import rules_of

if TYPE_CHECKING:
    from tablesync.core.entries import Entry
    from tablesync.core.rules import RuleSet
    from tablesync.core.sheet import GameSheet
    from tablesync.core.vector_clock import DeviceId
    from tablesync.record.record import Admitted, Countersigned, Record
    from tablesync.sync.messages import Sealed

__all__ = [
    "Examined",
    "OpenedRecord",
    "examine",
    "open_record",
]


@dataclass(frozen=True, slots=True)
class OpenedRecord:
    """A record of which the file is as it was made."""

    record: Record
    faults: tuple[Fault, ...]
    """What devices did that they must not do: it is part of the record."""
    fingerprint: str
    """64 hex digits that stand for the whole file."""
    sheet: GameSheet
    game: bytes
    """The game's id."""
    entries: tuple[Entry, ...]
    """In the order of the file."""
    history: History

    @property
    def rules(self) -> RuleSet:
        """The rules of the game.

        Raises:
            RuleFileError: this program does not know them.
        """
        return rules_of(self.sheet)

    def concluded(self) -> Game:
        """The game as it stands when nothing more will come.

        Raises:
            RuleFileError: this program does not know its rules.
        """
        game = Game(self.sheet, self.rules, self.game)
        for entry in self.history:
            game.receive(entry)
        game.conclude()
        return game


@dataclass(frozen=True, slots=True)
class Examined:
    """What an examination came to."""

    faults: tuple[Fault, ...]
    """All that were found; those of one part of the file in its order."""
    opened: OpenedRecord | None
    """The record, unless the file itself is at fault."""

    @property
    def is_sound(self) -> bool:
        """Whether there is no fault of any kind."""
        return not self.faults


def examine(data: bytes) -> Examined:
    """Looks for every fault in a record file."""
    try:
        record = read_record(data)
    except RecordFileError as error:
        return Examined((Fault(error.where, error.what),), None)
    try:
        sheet = read_sheet(record.sheet)
    except SheetError as error:
        return Examined((Fault(error.where, error.what),), None)
    game = game_id(record.sheet)
    devices = _faults_of_devices(record.admitted)
    reading = _Reading(record, game)
    for place, sealed in enumerate(record.entries, start=1):
        reading.take(place, sealed)
    checkpoints = _Checkpoints(record, game)
    for countersigned in record.checkpoints:
        checkpoints.take(countersigned)
    faults = (*devices, *reading.faults, *checkpoints.faults)
    if not _spoils(faults):
        faults += tuple(
            faults_of_admissions(record.admitted, reading.entries, game, record.relays)
        )
    if _spoils(faults):
        return Examined(faults, None)
    opened = OpenedRecord(
        record,
        faults,
        fingerprint(data),
        sheet,
        game,
        tuple(reading.entries),
        reading.history,
    )
    return Examined(faults, opened)


def _spoils(faults: tuple[Fault, ...]) -> bool:
    return any(fault.kind is FaultKind.OF_FILE for fault in faults)


def open_record(data: bytes) -> OpenedRecord:
    """The record in a file's bytes; its `faults` are those of devices.

    Raises:
        RecordFileError: the file itself has a fault; the error tells of the first.
    """
    examined = examine(data)
    if examined.opened is None:
        first = next(f for f in examined.faults if f.kind is FaultKind.OF_FILE)
        raise RecordFileError(first.where, first.what, "a record without a fault")
    return examined.opened


def _faults_of_devices(admitted: tuple[Admitted, ...]) -> list[Fault]:
    pairs = [(one.device, one.seat) for one in admitted]
    if pairs == sorted(set(pairs)):
        return []
    return [Fault("the list of devices", "is not in order, or has a device twice")]


def _stood_by(sealed: tuple[Sealed, ...]) -> set[tuple[DeviceId, bytes]]:
    """Device and digest of what a later entry, rightly signed, leads to."""
    led_to: set[tuple[DeviceId, bytes]] = set()
    for one in reversed(sealed):
        with suppress(EntryError):
            entry = unseal(*one)
            if (entry.id.device, entry.digest) in led_to or is_sealed(entry):
                led_to.add((entry.id.device, entry.link))
    return led_to


class _Reading:
    """The entries of a file, taken in one by one."""

    def __init__(self, record: Record, game: bytes) -> None:
        self.history = History(game)
        self.entries: list[Entry] = []
        self.faults: list[Fault] = []
        self._admitted = {(one.device, one.seat) for one in record.admitted}
        self._places: dict[bytes, int] = {}
        self._ids: dict[EntryId, int] = {}
        self._late: set[EntryId] = set()
        self._stood_by = _stood_by(record.entries)

    def take(self, place: int, sealed: Sealed) -> None:
        """Looks at the entry at that place, from 1."""
        name = entry_name(place, sealed)
        try:
            entry = unseal(*sealed)
            self._require_signature(entry, name)
            before = self._places.get(entry.digest)
            if before is not None:
                self.faults.append(Fault(name, f"is entry {before} once more"))
                return
            self._follow(entry, name)
        except EntryError as error:
            self.faults.append(Fault(name, error.what))
            return
        self._require_place(entry, name)
        self._places[entry.digest] = place
        self._ids.setdefault(entry.id, place)
        self.entries.append(entry)

    def _require_signature(self, entry: Entry, name: str) -> None:
        try:
            verify(entry)
        except BadSignatureError:
            if (entry.id.device, entry.digest) not in self._stood_by:
                raise
            what = "its device signed it wrongly, and stands by it with its next entry"
            self.faults.append(Fault(name, what, FaultKind.OF_DEVICE))

    def _follow(self, entry: Entry, name: str) -> None:
        if self.history.add(entry):
            return
        lacking = self._lacking(entry)
        # What waits for an entry that waits itself has no fault of its own.
        if lacking not in self._late:
            what = f"knew of entry {lacking}, which does not stand before it"
            self.faults.append(Fault(name, what))
        self._late.add(entry.id)

    def _lacking(self, entry: Entry) -> EntryId:
        """The entry that this one knew of and that keeps it waiting."""
        device, number = entry.id.device, entry.id.number
        if number > 1 and entry.link not in self.history:
            return EntryId(device, number - 1)
        known = [EntryId(other, last) for other, last in entry.seen.items()]
        # Where each of them is held, it is not the one that was known: a fork.
        return next((id_ for id_ in known if not self.history.holds(id_)), known[0])

    def _require_place(self, entry: Entry, name: str) -> None:
        if (entry.id.device, entry.seat) not in self._admitted:
            what = f"its device is not admitted to the {entry.seat} seat"
            self.faults.append(Fault(name, what))
        before = self._ids.get(entry.id)
        if before is not None:
            what = f"its device wrote entry {before} under the same number"
            self.faults.append(Fault(name, what, FaultKind.OF_DEVICE))


class _Checkpoints:
    """The checkpoints of a file, held against its entries one by one."""

    def __init__(self, record: Record, game: bytes) -> None:
        self.faults: list[Fault] = []
        self._game = game
        self._entries = record.entries
        self._tree = MerkleTree(
            digest_of(one.payload, one.signature) for one in record.entries
        )
        self._devices = {one.device for one in record.admitted}
        self._covered = 0

    def take(self, countersigned: Countersigned) -> None:
        """Looks at the next checkpoint."""
        checkpoint = countersigned.checkpoint
        size = checkpoint.head.size
        name = f"checkpoint {checkpoint}"
        if checkpoint.game != self._game:
            self.faults.append(Fault(name, "is of another game"))
            return
        if size < self._covered:
            self.faults.append(Fault(name, "is not in order of size"))
            return
        try:
            verify_checkpoint(checkpoint)
            self._count(countersigned)
        except CheckpointError as error:
            self.faults.append(Fault(name, error.what))
            return
        self._cover(countersigned)

    def _count(self, countersigned: Countersigned) -> None:
        seen: set[DeviceId] = set()
        for counter in countersigned.countersignatures:
            verify_countersignature(countersigned.checkpoint, counter)
            short = counter.device.hex()[:8]
            if counter.device not in self._devices:
                raise CheckpointError("", f"countersigned by {short}, not admitted")
            if counter.device in seen:
                raise CheckpointError("", f"countersigned twice by {short}")
            seen.add(counter.device)

    def _cover(self, countersigned: Countersigned) -> None:
        head = countersigned.checkpoint.head
        held = len(self._entries)
        if head.size > held:
            last = entry_name(held, self._entries[-1]) if held else "the game sheet"
            what = f"{head.size - held} of the {head.size} entries signed for lack"
            self.faults.append(Fault(f"after {last}", what))
        elif self._tree.head_at(head.size) == head:
            self._covered = head.size
        elif head.size == self._covered:
            name = f"checkpoint {countersigned.checkpoint}"
            self.faults.append(Fault(name, "contradicts another over as many"))
        else:
            where = f"entries {self._covered + 1} to {head.size}"
            what = "are not those, in that order, for which a checkpoint was signed"
            self.faults.append(Fault(where, what))
