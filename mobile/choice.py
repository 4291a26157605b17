"""Which seat of which game this device opens, as far as it is known without asking."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from collections.abc import Iterable

    from mobile.journals import Begun
    from tablesync.core.acts import Seat
    from tablesync.core.sheet import GameSheet

__all__ = ["Choice", "known_choice"]


@dataclass(frozen=True, slots=True)
class Choice:
    """The seat, the game and the relay that a device opens."""

    seat: Seat
    sheet: GameSheet
    relay: str


def known_choice(
    begun: Iterable[Begun], seat: Seat | None, sheet: GameSheet | None, relay: str
) -> Choice | None:
    """What needs no question: a game under way is gone on with. None where it does.

    Args:
        begun: the games of this device, the last one first.
        seat: the seat that was asked for, if any.
        sheet: the game that was asked for, if any.
        relay: the relay's address.
    """
    if seat is not None and sheet is not None:
        return Choice(seat, sheet, relay)
    for one in begun:
        is_right = seat in (None, one.seat) and sheet in (None, one.sheet)
        if is_right and not one.is_closed:
            return Choice(one.seat, one.sheet, relay)
    return None
