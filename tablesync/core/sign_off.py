"""Who has signed the record, and what a coach has protested.

The table officials sign first and the referee last (FIBA Annex B); with the referee's
signature the record is closed, see `seat_record`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.acts import EntryId, Protest, Seat, Side, Signer, SignOff
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from collections.abc import Mapping

    from tablesync.core.seat_record import SeatRecord

__all__ = ["ProtestNote", "SignOffState", "Signature", "sign_off_state"]


@dataclass(frozen=True, slots=True)
class Signature:
    """One official's signature."""

    role: Signer
    name: str
    seat: Seat
    """The seat at whose device it was given."""
    entry: EntryId
    at_ms: int


@dataclass(frozen=True, slots=True)
class ProtestNote:
    """A coach's protest."""

    side: Side
    reason: str
    at_ms: int


@dataclass(frozen=True, slots=True)
class SignOffState:
    """How far the signing has come."""

    signatures: tuple[Signature, ...]
    """In order of time; where one has signed twice, both."""
    protests: tuple[ProtestNote, ...]
    missing: tuple[Signer, ...]
    """Who has still to sign, in the order of signing."""

    @property
    def is_closed(self) -> bool:
        """Whether the referee has signed."""
        return Signer.REFEREE not in self.missing


def sign_off_state(records: Mapping[Seat, SeatRecord]) -> SignOffState:
    """How far the signing has come, by the records of the seats that are there.

    Without a clock seat there is no timer to sign.
    """
    signatures: list[Signature] = []
    protests: list[ProtestNote] = []
    for seat, record in records.items():
        for line in record.standing():
            match line.act:
                case SignOff(role=role, name=name):
                    signatures.append(
                        Signature(role, name, seat, line.entry.id, line.at_ms)
                    )
                case Protest(side=side, reason=reason):
                    protests.append(ProtestNote(side, reason, line.at_ms))
                case _:
                    pass
    signed = {signature.role for signature in signatures}
    missing = (
        role
        for role in Signer
        if role not in signed and (role is not Signer.TIMER or Seat.CLOCK in records)
    )
    return SignOffState(
        tuple(sorted(signatures, key=lambda signature: signature.at_ms)),
        tuple(sorted(protests, key=lambda protest: protest.at_ms)),
        tuple(missing),
    )
