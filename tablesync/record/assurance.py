"""What a record shows by itself, and what it does not, in plain sentences."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.admission.grants import Way
from tablesync.core.acts import EntryId
from tablesync.core.late_entries import late_entries
from tablesync.record.admissions import entered_grants
from tablesync.record.record import Admission
from tablesync.statement import read_statement

if TYPE_CHECKING:
    from tablesync.core.clock_sample import Sample
    from tablesync.core.entries import Entry
    from tablesync.core.vector_clock import DeviceId
    from tablesync.record.admissions import EnteredGrant
    from tablesync.record.record import Record
    from tablesync.record.verification import OpenedRecord
    from tablesync.statement import Statement

__all__ = ["not_shown", "shown"]


def shown(opened: OpenedRecord) -> tuple[str, ...]:
    """What follows from the file alone."""
    record = opened.record
    devices = {entry.id.device for entry in opened.entries}
    sentences = [
        f"{_count(len(opened.entries), 'entry', 'entries')} by "
        f"{_count(len(devices), 'device', 'devices')}, each with the signature of its "
        "device, none changed.",
        "Every entry follows from one before it of its device, and all that it knew of "
        "is here before it.",
        _forks(opened),
    ]
    late = late_entries(opened.history)
    if late:
        sentences.append(_late(late))
    if record.checkpoints:
        sentences.append(_largest(record))
    sentences += map(_granted, _grants(opened))
    sentences += _programs(record)
    sentences += [_clock_of(record, *timed) for timed in _timed(record).items()]
    return tuple(sentences)


def not_shown(opened: OpenedRecord) -> tuple[str, ...]:
    """What somebody has to take on trust."""
    record = opened.record
    sentences = [_uncovered(opened)] if _covered(record) < len(opened.entries) else []
    if not any(one.countersignatures for one in record.checkpoints):
        sentences.append(
            "No device countersigned a checkpoint: a relay that showed the devices two "
            "different histories would not be noticed."
        )
    sentences += [
        f"Device {_short(one.device)} writes for the {one.seat} seat because a "
        "relay took its entries: who held it is not shown."
        for one in record.admitted
        if one.how is Admission.RELAY_LIST
    ]
    timed = _timed(record)
    untimed = [one.device for one in record.admitted if one.device not in timed]
    if untimed:
        names = ", ".join(_short(device) for device in dict.fromkeys(untimed))
        sentences.append(
            f"Times are what the devices said; there is no clock sample of {names}."
        )
    wrote = ", ".join(f"{one.program} {one.version}" for one in record.software)
    return (
        *sentences,
        f"That {wrote} wrote the file: nobody signed that.",
        "Whoever makes new keys can make a whole new record: compare the names of the "
        "devices and the relay with those that the table and the league have kept.",
        "Whether what was entered is what happened on court.",
    )


def _forks(opened: OpenedRecord) -> str:
    forked = {fork.id.device for fork in opened.history.forks()}
    if not forked:
        return "No device wrote two entries under one number."
    names = ", ".join(map(_short, sorted(forked)))
    return (
        f"A key was used twice, or copied: {names} wrote different entries under one "
        "number. All of them are here, and all count."
    )


def _late(late: tuple[Entry, ...]) -> str:
    names = ", ".join(map(_short, sorted({entry.id.device for entry in late})))
    were = _count(len(late), "entry was", "entries were")
    return (
        f"{were} written by a device that had been replaced ({names}), and came late: "
        f"the first is {late[0].id}. They count like all others."
    )


def _count(number: int, one: str, many: str) -> str:
    return f"{number} {one if number == 1 else many}"


def _short(device: DeviceId) -> str:
    return device.hex()[:8]


def _device(record: Record, device: DeviceId) -> str:
    """A device by the start of its key, and by its seat, which says more."""
    seats = [str(one.seat) for one in record.admitted if one.device == device]
    return f"Device {_short(device)} ({', '.join(seats)})"


def _covered(record: Record) -> int:
    sizes = [one.checkpoint.head.size for one in record.checkpoints]
    return max(sizes, default=0)


def _largest(record: Record) -> str:
    largest = max(
        record.checkpoints,
        key=lambda one: (one.checkpoint.head.size, len(one.countersignatures)),
    )
    size, total = largest.checkpoint.head.size, len(record.entries)
    count = len(largest.countersignatures)
    return (
        f"Relay {_short(largest.checkpoint.signer)} signed that it held the first "
        f"{size} of these {total} entries in this order, and "
        f"{_count(count, 'device', 'devices')} countersigned: none of them has been "
        "left out or moved since."
    )


def _uncovered(opened: OpenedRecord) -> str:
    covered, total = _covered(opened.record), len(opened.entries)
    what = f"the last {total - covered} entries" if covered else "any entry"
    lasts = ", ".join(
        str(EntryId(device, number)) for device, number in opened.history.have().items()
    )
    return (
        f"No checkpoint covers {what}: an entry that a device wrote after its last one "
        f"here ({lasts}) would not be missed."
    )


def _timed(record: Record) -> dict[DeviceId, list[Sample]]:
    """What each device signed of its clock, each exchange once."""
    timed: dict[DeviceId, dict[Sample, None]] = {}
    for device, statement in _statements(record):
        if statement.sample is not None:
            timed.setdefault(device, {})[statement.sample] = None
    return {device: list(samples) for device, samples in timed.items()}


def _statements(record: Record) -> list[tuple[DeviceId, Statement]]:
    counters = (one for many in record.checkpoints for one in many.countersignatures)
    return [(one.device, read_statement(one.statement)) for one in counters]


def _programs(record: Record) -> list[str]:
    """Who ran what, by their own signatures."""
    checkpoints = (one.checkpoint for one in record.checkpoints)
    relays = {(one.signer, one.software): None for one in checkpoints}
    devices = {(who, said.software): None for who, said in _statements(record)}
    return [
        *(f"Relay {_short(who)} signed that it ran {what}." for who, what in relays),
        *(
            f"{_device(record, who)} signed that it ran {what}."
            for who, what in devices
        ),
    ]


def _grants(opened: OpenedRecord) -> list[EnteredGrant]:
    grants = entered_grants(opened.entries, opened.record.relays)
    return [one for one in grants if one.is_for(opened.game)]


_WAYS = {
    Way.INVITATION: "it had an invitation's secret",
    Way.SHORT_CODE: "somebody typed its short code",
}


def _granted(one: EnteredGrant) -> str:
    grant = one.grant
    how = _WAYS[grant.way]
    if grant.replaces is not None:
        how += f", in the place of device {_short(grant.replaces)}"
    if grant.confirmed_by is not None:
        who = "device" if grant.word is None else "the director's device"
        how += f", and {who} {_short(grant.confirmed_by)} confirmed it"
    return (
        f"Relay {_short(one.relay)} signed that it let device {_short(grant.device)} "
        f"in to the {grant.seat} seat: {how}. The device put that on record as entry "
        f"{one.entry.id}."
    )


def _clock_of(record: Record, device: DeviceId, samples: list[Sample]) -> str:
    best = min(samples, key=lambda sample: sample.delay_ms)
    return (
        f"{_device(record, device)} signed how its clock compared with the relay's in "
        f"{_count(len(samples), 'exchange', 'exchanges')}; the best leaves "
        f"{best.delay_ms / 2:.0f} ms of doubt."
    )
