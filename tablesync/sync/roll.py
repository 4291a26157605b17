"""The roll of the devices at the seats: who is linked, and up to when each is heard.

A device is heard up to a table time only where every entry is held that it had written
by then. What a message claims beyond that waits for the entries. So whoever draws
conclusions up to a time (the holder's check) never draws them on half of a record.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from tablesync.core.acts import EntryId
from tablesync.sync.messages import Presence

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from tablesync.core.entries import Entry
    from tablesync.core.history import Place
    from tablesync.core.vector_clock import DeviceId
    from tablesync.sync.intake import Holder

__all__ = ["Roll"]


class Roll:
    """The devices at the seats of one game, as one holder has heard them."""

    def __init__(self, holder: Holder) -> None:
        """Knows the devices whose entries are held; none of them is linked yet."""
        self._holder = holder
        self._presences: dict[DeviceId, Presence] = {}
        self._ahead: dict[DeviceId, Presence] = {}
        self.note(holder.history.places())

    def __iter__(self) -> Iterator[Presence]:
        return iter(self._presences.values())

    def __contains__(self, device: object) -> bool:
        return device in self._presences

    def __getitem__(self, device: DeviceId) -> Presence:
        return self._presences[device]

    @property
    def is_ahead(self) -> bool:
        """Whether a device is said to have written entries that are not held here."""
        return bool(self._ahead)

    def note(self, entries: Iterable[Entry | Place]) -> None:
        """Entries have been taken in; whatever their devices write next is later."""
        last: dict[DeviceId, tuple[int, int]] = {}
        for entry in entries:
            device, number = entry.id.device, entry.id.number
            heard_ms = entry.table_time_ms + 1
            if device in last:
                number = max(number, last[device][0])
                heard_ms = max(heard_ms, last[device][1])
            elif device not in self._presences:
                self._presences[device] = Presence(
                    device, entry.seat, is_linked=False, number=0, heard_ms=0
                )
            last[device] = (number, heard_ms)
        for device, (number, heard_ms) in last.items():
            self._raise(self._presences[device], number, heard_ms)

    def hear(self, presence: Presence) -> Presence:
        """Learns how a device stands, and tells how it stands as far as it is held.

        What was heard before still holds: a number or time never falls.
        """
        device = presence.device
        held = self._holder.history.have()[device]
        known = self._presences.get(device)
        # Only entries bind a device to its seat.
        seat = presence.seat if known is None or not held else known.seat
        known = Presence(
            device,
            seat,
            is_linked=presence.is_linked,
            number=0 if known is None else known.number,
            heard_ms=0 if known is None else known.heard_ms,
        )
        if presence.number > held:
            self._ahead[device] = presence
            self._presences[device] = known
            return known
        return self._raise(known, held, presence.heard_ms)

    def _raise(self, known: Presence, number: int, heard_ms: int) -> Presence:
        device = known.device
        raised = Presence(
            device,
            known.seat,
            is_linked=known.is_linked,
            number=max(number, known.number),
            heard_ms=max(heard_ms, known.heard_ms),
        )
        self._presences[device] = raised
        self._holder.hear(raised.seat, EntryId(device, raised.number), raised.heard_ms)
        return raised

    def catch_up(self) -> list[Presence]:
        """Tells again how those devices stand whose entries have now come in."""
        if not self._ahead:
            return []
        have = self._holder.history.have()
        ready = [p for p in self._ahead.values() if have[p.device] >= p.number]
        for presence in ready:
            del self._ahead[presence.device]
        return [self.hear(presence) for presence in ready]

    def unlink(self, device: DeviceId) -> Presence:
        """The device is no longer linked."""
        self._presences[device] = replace(self._presences[device], is_linked=False)
        return self._presences[device]

    def unlink_all(self) -> None:
        """Nothing is known any more of who is linked."""
        self._ahead.clear()
        for device in self._presences:
            self.unlink(device)
