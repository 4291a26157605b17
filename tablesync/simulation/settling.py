"""When a simulated game that has healed is in sync, and what must be left of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.acts import Seat, SignOff
from tablesync.core.history import History

if TYPE_CHECKING:
    from collections.abc import Iterable

    from tablesync.core.entries import Entry
    from tablesync.simulation.table import Table

__all__ = ["digests", "survivors", "unsettled"]


def survivors(table: Table) -> set[bytes]:
    """The entries of which a sound copy is left, with all that they knew."""
    left: dict[bytes, Entry] = {}
    written = table.world.witness.written
    for machine in table.machines:
        if not machine.is_retired:
            left |= {digest: written[digest] for digest in machine.disk.sound()}
    history = History(table.world.setting.game)
    for entry in left.values():
        history.add(entry)
    return digests(history)


def unsettled(table: Table) -> str:
    """What is not in sync yet, in words; nothing where all is."""
    history, disk = table.relay.game.history, table.relay.machine.disk
    table.relay.game.advance()
    held = digests(history)
    if not disk.synced.rows.keys() >= held:
        return "the relay's disk lacks what the relay holds"
    waiting = table.relay.protocol.holder.history.waiting()
    if disk.sound() - held - digests(waiting):
        return "the relay does not hold what is on its disk"
    for device in table.present():
        if not device.side.is_quiet:
            return f"{device} is not quiet"
        if digests(device.game.history) != held:
            return f"{device} and the relay hold different entries"
        if not device.machine.disk.synced.rows.keys() >= held:
            return f"{device}'s disk lacks what it holds"
    return _unheard(table) or _untold(table) or _unsigned(table)


def _unheard(table: Table) -> str:
    history = table.relay.game.history
    latest_ms = max((history.place(entry).time_ms for entry in history), default=0)
    present = {device.claim.seat for device in table.present()}
    if not {Seat.BOOK, Seat.CLOCK} <= present:
        return ""
    for holder in table.holders():
        if holder.game.horizon_ms <= latest_ms:
            return f"{holder} has not heard both seats beyond the last entry"
    return ""


def _untold(table: Table) -> str:
    """What the director has not been told."""
    director, relay = table.director, table.relay
    if director is None:
        return ""
    if director.connection is not None and director.connection.is_dead:
        return "the director has not noticed that its link is dead"
    court = director.court
    if court is None:
        return "the director has not been told of the court"
    if court.written.entries != len(relay.game.history):
        return "the director has not been told of all entries"
    if court != relay.feed.summary:
        return "the director was told something else than was worked out"
    return ""


def _unsigned(table: Table) -> str:
    """Who has not countersigned what was on record when it was signed off."""
    disk = table.relay.machine.disk
    history = table.relay.game.history
    signed_off = digests(e for e in history if isinstance(e.act, SignOff))
    if disk.lost or not signed_off:
        return ""
    listed = list(disk.synced.rows)
    size = 1 + max(map(listed.index, signed_off))
    enough = [by for over, (_, by) in disk.synced.evidence.items() if over >= size]
    signers = {one.device for by in enough for one in by}
    for device in table.present():
        if device.claim.seat and device.claim.key.device not in signers:
            return f"{device} has not countersigned all"
    return ""


def digests(entries: Iterable[Entry]) -> set[bytes]:
    """The identities of entries."""
    return {entry.digest for entry in entries}
