"""What a record shows by itself, and what it does not, in plain sentences."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.acts import EntryId
from tablesync.core.late_entries import late_entries

if TYPE_CHECKING:
    from tablesync.core.entries import Entry
    from tablesync.core.vector_clock import DeviceId
    from tablesync.record.record import Record
    from tablesync.record.verification import OpenedRecord
    from tablesync.sync.table_time import Sample

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
    sentences += [_clock_of(record, device) for device in _timed(record)]
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
        f"Device {_short(one.device)} writes for the {one.seat} seat because the "
        "relay's list says so: who held it is not shown."
        for one in record.admitted
    ]
    untimed = [
        one.device for one in record.admitted if one.device not in _timed(record)
    ]
    if untimed:
        names = ", ".join(_short(device) for device in dict.fromkeys(untimed))
        sentences.append(
            f"Times are what the devices said; there is no clock sample of {names}."
        )
    return (
        *sentences,
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
    timed: dict[DeviceId, list[Sample]] = {}
    for one in record.clock_samples:
        timed.setdefault(one.device, []).append(one.sample)
    return timed


def _clock_of(record: Record, device: DeviceId) -> str:
    samples = _timed(record)[device]
    best = min(samples, key=lambda sample: sample.delay_ms)
    return (
        f"The clock of device {_short(device)} was compared with the relay's "
        f"{_count(len(samples), 'time', 'times')}; the best exchange leaves "
        f"{best.delay_ms / 2:.0f} ms of doubt."
    )
