"""What is needed seldom: the benches, the look, notes, an own basket."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mobile.presenters.intents import (
    AskWords,
    Enter,
    ForNote,
    Leave,
    NextLanguage,
    Page,
    Resize,
    SwapBenches,
    SwitchLook,
    TurnTo,
)
from tablesync.core.acts import OwnBasket, Seat
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from mobile.presenters.intents import Intent
    from mobile.presenters.seat_view import SeatView

__all__ = ["MoreKey", "MorePage", "more_page"]


@dataclass(frozen=True, slots=True)
class MoreKey:
    """One key, and a word on what it does."""

    label: str
    intent: Intent


@dataclass(frozen=True, slots=True)
class MorePage:
    """The keys, in the order in which they stand."""

    title: str
    keys: tuple[MoreKey, ...]


def more_page(view: SeatView) -> MorePage:
    """The page of this seat."""
    texts = view.texts.more
    keys = [
        MoreKey(view.texts.entries.all_entries, TurnTo(Page.ENTRIES)),
        MoreKey(texts.note, AskWords(ForNote())),
        MoreKey(view.texts.steps.sign_off, TurnTo(Page.SIGN_OFF)),
        MoreKey(texts.swap_benches, SwapBenches()),
        MoreKey(texts.switch_look, SwitchLook()),
        MoreKey(texts.language, NextLanguage()),
        MoreKey(texts.larger, Resize(1)),
        MoreKey(texts.smaller, Resize(-1)),
        MoreKey(texts.leave, Leave()),
    ]
    if view.seat is Seat.BOOK:
        keys += [
            MoreKey(
                texts.own_basket(view.colour(side)),
                Enter((OwnBasket(side, 2),)),
            )
            for side in view.sides
        ]
    return MorePage(texts.title, tuple(keys))
