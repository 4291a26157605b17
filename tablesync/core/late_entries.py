"""What a replaced device wrote that the device in its place did not know of.

A device puts on record that it was let in to its seat (`SeatTaken`) once it holds all
that the relay had. So what an earlier device of the seat has that this entry did not
know of came late: it stays on record and counts, and is marked.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.acts import SeatTaken

if TYPE_CHECKING:
    from collections.abc import Iterable

    from tablesync.core.acts import Seat
    from tablesync.core.entries import Entry
    from tablesync.core.vector_clock import DeviceId

__all__ = ["late_entries"]


def late_entries(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """The late ones among entries in their common order."""
    held = tuple(entries)
    late: dict[bytes, Entry] = {}
    earlier: dict[Seat, set[DeviceId]] = {}
    for taking in held:
        if not isinstance(taking.act, SeatTaken):
            continue
        before = earlier.setdefault(taking.seat, set())
        replaced = before - {taking.id.device}
        before.add(taking.id.device)
        for entry in held:
            device = entry.id.device
            if device in replaced and entry.id.number > taking.seen[device]:
                late[entry.digest] = entry
    return tuple(entry for entry in held if entry.digest in late)
