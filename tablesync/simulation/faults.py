"""Every kind of fault that befalls a simulated game."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    from collections import Counter

__all__ = ["Fault", "Toll"]


class Fault(StrEnum):
    """A kind of fault, in the words of the final count."""

    FRAME_DROPPED = "frames dropped"
    FRAME_REPEATED = "frames repeated"
    FRAME_OVERTAKEN = "frames overtaken"
    FRAME_LATE = "frames late by more than 200 ms"
    FRAME_CUT = "frames cut off in the middle"
    LINK_CUT = "links cut"
    LINK_HALF_OPEN = "links left half open"
    LINK_OVERFULL = "links dropped because nobody read"
    ONE_WAY = "links that worked one way"
    CLOGGED = "links clogged, and let go later"
    PARTED = "tables cut off from the relay"
    SWIZZLED = "links cut one by one and healed in another order"

    KILLED_BEFORE_COMMIT = "kills before a commit"
    KILLED_AFTER_COMMIT = "kills after a commit"
    KILLED_BEFORE_ANSWER = "kills before an acknowledgement went out"
    KILLED_AMID_SENDING = "kills after some were told"
    KILLED = "kills at any time"
    CANCELLED = "links lost while a write was queued for them"
    POWER_CUT = "power cuts"
    PAUSED = "processes stopped for a while"
    SUSPENDED = "machines suspended"

    DISK_SLOW = "disks slow"
    DISK_FULL = "disks full"
    DISK_BROKEN = "disk errors"
    DISK_LOST = "relays that lost their disk"
    ROW_DAMAGED = "stored entries damaged"
    ROWS_LOST = "stores cut short"
    OLD_COPY = "devices restored from an older copy"

    CLOCK_JUMPED = "clocks jumped"
    CLOCK_SET = "clocks set anew, by up to a day"

    DEVICE_REPLACED = "devices replaced"
    OLD_DEVICE_BACK = "replaced devices back late"
    DEVICE_GONE = "devices gone for good"
    TWO_AT_ONE_SEAT = "second devices at a seat"
    DEVICE_CLONED = "devices cloned"
    LATER_VERSION = "devices of a later minor version"

    DIRECTOR_CUT_OFF = "directors cut off"
    DIRECTOR_STARTED_ANEW = "directors' programs started again"
    DIRECTOR_READS_NOTHING = "directors that read nothing for a while"

    REPORTED_TWICE = "touches reported twice"
    TOUCHED_TWICE = "keys touched twice at once"

    FORGED = "forged entries, each refused"
    MALFORMED = "malformed frames, each refused"
    REPLAYED = "frames replayed"


Toll: TypeAlias = "Counter[Fault]"
"""How often each kind has befallen."""
