"""The games that a device's cover offers, and what is said of each."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from mobile.presenters.start_page import GameOffer

if TYPE_CHECKING:
    from collections.abc import Iterable

    from mobile.journals import Begun
    from mobile.texts.shape import Texts
    from tablesync.core.sheet import GameSheet

__all__ = ["Offer", "begun_offers", "new_offer"]


class Offer(NamedTuple):
    """A game that can be chosen: what is said of it, and its sheet."""

    shown: GameOffer
    sheet: GameSheet


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
