"""Which seat of which game this device opens, as far as it is known without asking."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from mobile.presenters.start_page import GameOffer

if TYPE_CHECKING:
    from collections.abc import Iterable

    from mobile.journals import Begun
    from mobile.texts.shape import Texts
    from tablesync.core.acts import Seat
    from tablesync.core.sheet import GameSheet

__all__ = ["Choice", "Offer", "begun_offers", "known_choice", "new_offer"]


@dataclass(frozen=True, slots=True)
class Choice:
    """The seat, the game and the relay that a device opens."""

    seat: Seat
    sheet: GameSheet
    relay: str


class Offer(NamedTuple):
    """A game that can be chosen: what is said of it, and its sheet."""

    shown: GameOffer
    sheet: GameSheet


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


def new_offer(sheet: GameSheet, texts: Texts) -> Offer:
    """A game that this device has not begun."""
    court = texts.start.court(sheet.court) if sheet.court else ""
    detail = ", ".join(filter(None, (court, sheet.date, sheet.venue)))
    return Offer(GameOffer(sheet.title, detail, None), sheet)


def begun_offers(begun: Iterable[Begun], texts: Texts) -> tuple[Offer, ...]:
    """The games that were begun here, the last one first."""
    return tuple(_begun_offer(one, texts) for one in begun)


def _begun_offer(begun: Begun, texts: Texts) -> Offer:
    tally = begun.game.tally(begun.seat)
    title = texts.say.period(begun.game.rules, max(1, tally.period))
    detail = texts.start.under_way(f"{tally.score.home}-{tally.score.away}", title)
    if begun.is_closed:
        detail = texts.sign_off.closed
    return Offer(GameOffer(begun.sheet.title, detail, begun.seat), begun.sheet)
