"""Everything that one player on court can do, where his row has room for little."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mobile.presenters.intents import Back, ChooseKind, Enter, FoulPlace
from mobile.presenters.player_rows import in_order, score_keys
from tablesync.core.acts import Charged, Substitution
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from mobile.presenters.desk import Desk
    from mobile.presenters.intents import Intent
    from mobile.presenters.player_rows import ScoreKeys
    from mobile.presenters.seat_view import SeatView

__all__ = ["ComesIn", "PlayerSheet", "player_sheet"]


@dataclass(frozen=True, slots=True)
class ComesIn:
    """A player of the bench, who comes in for this one."""

    number: str
    intent: Intent


@dataclass(frozen=True, slots=True)
class PlayerSheet:
    """The keys of a player whose number was touched."""

    number: str
    keys: ScoreKeys
    kinds: Intent
    """Asks for the kind of a foul."""
    bench: tuple[ComesIn, ...]
    cancel: Intent


def player_sheet(view: SeatView, desk: Desk) -> PlayerSheet | None:
    """The keys of the player that has been chosen, or None."""
    if desk.chosen is None:
        return None
    side, number = desk.chosen.side, desk.chosen.number
    page = view.game.book.pages[side]
    bench = in_order(one for one in page.lines if one not in page.on_court)
    return PlayerSheet(
        number=number,
        keys=score_keys(side, number),
        kinds=ChooseKind(FoulPlace(side, number, Charged.PLAYER)),
        bench=tuple(
            ComesIn(one, Enter((Substitution(side, (one,), (number,)),)))
            for one in bench
        ),
        cancel=Back(),
    )
