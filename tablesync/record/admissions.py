"""How each device of a game was admitted to its seat, as its entries show.

A device that was let in through a gate has the relay's signed grant, and enters it
(`SeatTaken`). A relay is known by the checkpoints that it signed. So whether a grant is
the relay's can be told from the game alone.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.admission.frames import Granted
from tablesync.admission.grants import Grant, is_confirmed_in, is_granted_by, read_grant
from tablesync.admission.invitation import EVERY_GAME
from tablesync.core.acts import SeatGiven, SeatTaken
from tablesync.errors import FieldError
from tablesync.frozen import dataclass
from tablesync.record.fault import Fault, FaultKind
from tablesync.record.record import Admission, Admitted

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from tablesync.core.acts import Seat
    from tablesync.core.entries import Entry
    from tablesync.core.vector_clock import DeviceId

__all__ = [
    "EnteredGrant",
    "admitted_by",
    "entered_grants",
    "faults_of_admissions",
]


@dataclass(frozen=True, slots=True)
class EnteredGrant:
    """A relay's grant, and the entry by which it is on record."""

    relay: DeviceId
    grant: Grant
    entry: Entry

    def is_for(self, game: bytes) -> bool:
        """Whether it lets in, to this game, the device and the seat that entered it."""
        grant, entry = self.grant, self.entry
        is_here = grant.game in (game, EVERY_GAME)
        return is_here and (grant.device, grant.seat) == (entry.id.device, entry.seat)


def entered_grants(
    entries: Iterable[Entry], relays: Iterable[DeviceId]
) -> tuple[EnteredGrant, ...]:
    """The grants among the entries that one of these relays signed."""
    signers = tuple(relays)
    found = (_signed(entry, signers) for entry in entries)
    return tuple(one for one in found if one is not None)


def _signed(entry: Entry, relays: Iterable[DeviceId]) -> EnteredGrant | None:
    act = entry.act
    if not isinstance(act, SeatTaken):
        return None
    granted = Granted(act.grant, act.signature)
    for relay in relays:
        if is_granted_by(relay, granted):
            try:
                return EnteredGrant(relay, read_grant(act.grant), entry)
            except FieldError:
                # Signed by the relay, and of a form that this program can't read.
                return None
    return None


def admitted_by(
    entries: Sequence[Entry], game: bytes, relays: Iterable[DeviceId]
) -> tuple[Admitted, ...]:
    """Every device that wrote for a seat, and how it was admitted."""
    return _admitted(entries, game, entered_grants(entries, relays))


def _admitted(
    entries: Sequence[Entry], game: bytes, grants: Sequence[EnteredGrant]
) -> tuple[Admitted, ...]:
    seated = dict.fromkeys((entry.id.device, entry.seat) for entry in entries)
    signers: dict[tuple[DeviceId, Seat], DeviceId] = {}
    for one in grants:
        if one.is_for(game):
            signers.setdefault((one.entry.id.device, one.entry.seat), one.relay)
    return tuple(
        Admitted(*pair, Admission.GRANTED, signers[pair])
        if pair in signers
        else Admitted(*pair)
        for pair in seated
    )


def faults_of_admissions(
    listed: Sequence[Admitted],
    entries: Sequence[Entry],
    game: bytes,
    relays: Sequence[DeviceId],
) -> list[Fault]:
    """Holds the list of devices, and the grants, against sound entries."""
    grants = entered_grants(entries, relays)
    shown = {(o.device, o.seat): o for o in _admitted(entries, game, grants)}
    return [
        *_faults_of_list(listed, shown),
        *_faults_of_grants(entries, game, grants),
    ]


def _faults_of_list(
    listed: Sequence[Admitted], shown: dict[tuple[DeviceId, Seat], Admitted]
) -> list[Fault]:
    faults: list[Fault] = []
    for one in listed:
        name = f"the admission of device {one.device.hex()[:8]} to the {one.seat} seat"
        entered = shown.get((one.device, one.seat))
        if entered is None:
            faults.append(Fault(name, "it has entered nothing there"))
        elif entered != one:
            what = f"is not as the entries show: they say {entered.how}"
            faults.append(Fault(name, what))
    return faults


def _faults_of_grants(
    entries: Sequence[Entry], game: bytes, grants: Sequence[EnteredGrant]
) -> list[Fault]:
    given: set[tuple[DeviceId | None, Seat | None, DeviceId]] = {
        (entry.id.device, entry.act.seat, entry.act.device)
        for entry in entries
        if isinstance(entry.act, SeatGiven)
    }
    faults: list[Fault] = []
    for one in grants:
        name = f"entry {one.entry.id}"
        if not one.is_for(game):
            what = "puts a grant on record that is of another device, seat or game"
            faults.append(Fault(name, what, FaultKind.OF_DEVICE))
        elif lack := _lack_of_confirmation(one, given):
            faults.append(Fault(name, lack))
    return faults


def _lack_of_confirmation(
    one: EnteredGrant, given: set[tuple[DeviceId | None, Seat | None, DeviceId]]
) -> str:
    """What is missing of the confirmation that a grant speaks of; empty if nothing."""
    grant = one.grant
    if grant.word is not None and not is_confirmed_in(grant, one.relay):
        return "holds the word of no director of its relay"
    confirmed = (grant.confirmed_by, grant.seat, grant.device)
    if grant.confirmed_by is None or grant.word is not None or confirmed in given:
        return ""
    return f"no entry of device {grant.confirmed_by.hex()[:8]} confirms it"
