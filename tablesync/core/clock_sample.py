"""How two clocks were compared by one exchange of messages (RFC 5905, section 8)."""

from __future__ import annotations

from tablesync.frozen import dataclass

__all__ = ["Sample"]


@dataclass(frozen=True, slots=True)
class Sample:
    """One exchange with the relay, in milliseconds of the two clocks."""

    t1_ms: int
    """This device's clock at sending."""
    t2_ms: int
    """The relay's clock at receipt."""
    t3_ms: int
    """The relay's clock at answering."""
    t4_ms: int
    """This device's clock at receipt of the answer."""

    @property
    def offset_ms(self) -> float:
        """How far the relay's clock is ahead of this device's (theta in RFC 5905)."""
        return ((self.t2_ms - self.t1_ms) + (self.t3_ms - self.t4_ms)) / 2

    @property
    def delay_ms(self) -> int:
        """The time on the way, there and back (delta in RFC 5905)."""
        return (self.t4_ms - self.t1_ms) - (self.t3_ms - self.t2_ms)
