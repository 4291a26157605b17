"""Groups of foul boxes, each of which is one key, and the kinds to choose from."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mobile.presenters.intents import ChooseKind, Enter, FoulPlace
from tablesync.core.acts import Charged, Foul
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mobile.presenters.desk import Desk
    from mobile.presenters.intents import Intent
    from mobile.presenters.seat_view import SeatView
    from tablesync.core.book_lines import BookedFoul
    from tablesync.core.rules import RuleSet

__all__ = ["FoulBoxes", "foul_boxes", "kind_keys"]

STAFF_BOXES = 3


@dataclass(frozen=True, slots=True)
class FoulBoxes:
    """A group of foul boxes, which is one key."""

    letters: tuple[str, ...]
    boxes: int
    usual: Intent
    """A tap: the next box with the usual kind."""
    rarer: Intent
    """A long press: asks for the kind."""
    chosen: bool
    """Its kind is being asked for."""


def foul_boxes(
    rules: RuleSet, fouls: Sequence[BookedFoul], place: FoulPlace, desk: Desk
) -> FoulBoxes:
    """The fouls of a player, a coach or a bench."""
    of_player = place.charged is Charged.PLAYER
    least = rules.fouls.player_limit if of_player else STAFF_BOXES
    letters = tuple(
        rules.fouls.counted_as(place.charged, foul.kind).letter for foul in fouls
    )
    usual = next(one for one in rules.fouls.kinds if one.charged is place.charged)
    return FoulBoxes(
        letters,
        max(least, len(letters)),
        Enter((_foul(place, usual.kind),)),
        ChooseKind(place),
        chosen=desk.kind_of == place,
    )


def kind_keys(view: SeatView, place: FoulPlace) -> tuple[tuple[str, Intent], ...]:
    """A key for each kind of foul that can be charged there."""
    return tuple(
        (view.texts.say.kind(one), Enter((_foul(place, one.kind),)))
        for one in view.game.rules.fouls.kinds
        if one.charged is place.charged
    )


def _foul(place: FoulPlace, kind: str) -> Foul:
    return Foul(place.side, place.number, place.charged, kind)
