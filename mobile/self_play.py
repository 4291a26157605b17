"""Enters the acts of a scenario at a seat by itself, for a table to look at.

Both seats play by the same schedule, which they begin when they hear each other.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.acts import Strike
from tablesync.frozen import dataclass
from tablesync.scenario import Enter, StrikeOut

if TYPE_CHECKING:
    from collections.abc import Awaitable, Callable, Iterable

    from mobile.seat_shell import SeatSession
    from tablesync.core.acts import EntryId
    from tablesync.scenario import Step

__all__ = ["Due", "play_by_itself", "schedule"]

LEAD_MS = 2_000
"""So long both seats look at the page before the first act."""
LONGEST_GAP_MS = 2_500
"""Nobody wants to wait for the whole of a time-out; hands keep their own lag."""
LOOK_AGAIN_S = 0.1


@dataclass(frozen=True, slots=True)
class Due:
    """An act, and when it is to be entered."""

    at_ms: int
    """Since the play began."""
    step: Enter


def schedule(steps: Iterable[Step]) -> tuple[Due, ...]:
    """When each act is entered: as in the scenario, with the long gaps cut short."""
    due: list[Due] = []
    at_ms = before_ms = 0
    for step in steps:
        if isinstance(step, Enter):
            at_ms += min(LONGEST_GAP_MS, step.t_ms - before_ms)
            due.append(Due(at_ms, step))
            before_ms = step.t_ms
    return tuple(due)


async def play_by_itself(
    seat: SeatSession,
    acts: Iterable[Due],
    pause: Callable[[float], Awaitable[object]],
) -> None:
    """Enters this seat's acts when they are due, from when the partner is heard.

    Args:
        seat: who enters.
        acts: of both seats.
        pause: waits for so many seconds.

    Raises:
        EntryError: an act is not this seat's.
        StorageError: an act could not be kept.
    """
    while seat.link().heard_ms is None:
        await pause(LOOK_AGAIN_S)
    begun_ms = seat.table_ms() + LEAD_MS
    entered: dict[str, EntryId] = {}
    for due in acts:
        if due.step.seat is not seat.seat:
            continue
        await pause(max(0, begun_ms + due.at_ms - seat.table_ms()) / 1000)
        act = due.step.act
        if isinstance(act, StrikeOut):
            act = Strike(entered[act.label])
        entry = await seat.enter(act)
        if due.step.label is not None:
            entered[due.step.label] = entry.id
