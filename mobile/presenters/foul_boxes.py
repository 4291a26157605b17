"""Groups of foul boxes, each of which is one key, and the kinds to choose from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from mobile.presenters.intents import ChooseKind, Enter, FoulPlace
from tablesync.core.acts import Foul

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mobile.presenters.intents import Intent
    from mobile.presenters.seat_view import SeatView
    from tablesync.core.book_lines import BookedFoul, PlayerLine
    from tablesync.core.rules import RuleSet

__all__ = ["FoulBoxes", "KindKey", "kind_keys", "player_fouls", "staff_fouls"]

STAFF_BOXES = 3


@dataclass(frozen=True, slots=True)
class KindKey:
    """A kind of foul to choose."""

    letter: str
    label: str
    intent: Intent


@dataclass(frozen=True, slots=True)
class FoulBoxes:
    """A group of foul boxes, which is one key."""

    letters: tuple[str, ...]
    boxes: int
    usual: Intent
    """A tap: the next box with the usual kind."""
    rarer: Intent
    """A long press: asks for the kind."""


def player_fouls(rules: RuleSet, line: PlayerLine, place: FoulPlace) -> FoulBoxes:
    """A player's fouls."""
    return _boxes(rules, line.fouls, place, rules.fouls.player_limit)


def staff_fouls(
    rules: RuleSet, fouls: Sequence[BookedFoul], place: FoulPlace
) -> FoulBoxes:
    """The fouls of a coach or a bench."""
    return _boxes(rules, fouls, place, STAFF_BOXES)


def _boxes(
    rules: RuleSet, fouls: Sequence[BookedFoul], place: FoulPlace, least: int
) -> FoulBoxes:
    letters = tuple(
        rules.fouls.counted_as(place.charged, foul.kind).letter for foul in fouls
    )
    usual = next(one for one in rules.fouls.kinds if one.charged is place.charged)
    return FoulBoxes(
        letters,
        max(least, len(letters)),
        Enter((_foul(place, usual.kind),)),
        ChooseKind(place),
    )


def kind_keys(view: SeatView, place: FoulPlace) -> tuple[KindKey, ...]:
    """The kinds of foul that can be charged there."""
    return tuple(
        KindKey(one.letter, view.texts.say.kind(one), Enter((_foul(place, one.kind),)))
        for one in view.game.rules.fouls.kinds
        if one.charged is place.charged
    )


def _foul(place: FoulPlace, kind: str) -> Foul:
    return Foul(place.side, place.number, place.charged, kind)
