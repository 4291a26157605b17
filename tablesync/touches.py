"""Tells a finger that came down twice from a finger that was reported twice.

Some systems report one finger by two ways at once: as a touch and as a mouse, or by two
drivers of one screen. A finger has to be lifted before it can come down again in the
same place. So a second touch in the same place at nearly the same time is another
report of the first one where it comes from another device, or where the first has not
been lifted yet; and it is a second touch where one device reports it after the lift.
"""

from __future__ import annotations

from tablesync.frozen import dataclass

__all__ = ["NEAR_DP", "NEAR_MS", "TouchDown", "TouchSieve"]

NEAR_MS = 80
NEAR_DP = 12.0


@dataclass(frozen=True, slots=True)
class TouchDown:
    """A finger comes down, as one device reports it."""

    device: str
    id: int
    """Unlike any other touch of this run."""
    x_dp: float
    y_dp: float
    at_ms: int

    def is_near(self, other: TouchDown) -> bool:
        """Whether both are in the same place at nearly the same time."""
        return (
            abs(self.at_ms - other.at_ms) <= NEAR_MS
            and abs(self.x_dp - other.x_dp) <= NEAR_DP
            and abs(self.y_dp - other.y_dp) <= NEAR_DP
        )


class TouchSieve:
    """Lets every touch through once."""

    def __init__(self) -> None:
        self._recent: list[TouchDown] = []
        self._down: set[int] = set()
        self._refused: set[int] = set()
        self.doubles = 0
        """How many reports have been held back."""

    def comes_down(self, touch: TouchDown) -> bool:
        """Whether this is a touch of its own."""
        self._recent = [
            one for one in self._recent if touch.at_ms - one.at_ms <= NEAR_MS
        ]
        for one in self._recent:
            is_other_way = one.device != touch.device
            if one.is_near(touch) and (is_other_way or one.id in self._down):
                self._refused.add(touch.id)
                self.doubles += 1
                return False
        self._recent.append(touch)
        self._down.add(touch.id)
        return True

    def goes_on(self, id_: int) -> bool:
        """Whether what a touch does further is to be passed on."""
        return id_ not in self._refused

    def is_lifted(self, id_: int) -> bool:
        """Learns that a finger was lifted; tells whether to pass that on."""
        self._down.discard(id_)
        if id_ in self._refused:
            self._refused.discard(id_)
            return False
        return True
