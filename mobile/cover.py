"""Which seat of which game this device opens: known, or asked for on the cover."""

from __future__ import annotations

import asyncio
from dataclasses import dataclass
from typing import TYPE_CHECKING

from kivy.core.window import Window

from mobile.presenters.start_page import (
    Begin,
    ChooseGame,
    GameOffer,
    StartDesk,
    StartIntent,
    start_page,
    started,
)
from mobile.screens.start import StartScreen
from mobile.theme import theme

if TYPE_CHECKING:
    from collections.abc import Iterable

    from mobile.app import TableWindow
    from mobile.journals import Begun
    from mobile.settings import Settings
    from mobile.texts.shape import Texts
    from tablesync.core.acts import Seat
    from tablesync.core.sheet import GameSheet

__all__ = ["Choice", "ask", "known_choice", "offers_of"]


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


def offers_of(
    begun: Iterable[Begun], sheet: GameSheet | None, texts: Texts
) -> tuple[tuple[GameOffer, GameSheet], ...]:
    """What can be chosen on the cover: the game given, then those begun here."""
    offers = []
    if sheet is not None:
        detail = ", ".join(filter(None, (sheet.court, sheet.date, sheet.venue)))
        offers.append((GameOffer(sheet.title, detail, None), sheet))
    for one in begun:
        score = one.game.tally(one.seat).score
        period = max(1, one.game.tally(one.seat).period)
        title = texts.say.period(one.game.rules, period)
        detail = texts.start.under_way(f"{score.home}-{score.away}", title)
        if one.is_closed:
            detail = texts.sign_off.closed
        offers.append((GameOffer(one.sheet.title, detail, one.seat), one.sheet))
    return tuple(offers)


async def ask(
    window: TableWindow,
    offers: tuple[tuple[GameOffer, GameSheet], ...],
    settings: Settings,
    seat: Seat | None,
) -> Choice:
    """Shows the cover until seat and game are chosen."""
    texts, look = settings.language.texts, theme(settings.look)
    desk = StartDesk(tuple(offer for offer, _ in offers), seat, relay=settings.relay)
    if len(offers) == 1:
        desk = started(desk, ChooseGame(0))
    chosen: asyncio.Future[StartDesk] = asyncio.get_running_loop().create_future()
    screen = StartScreen(look=look, texts=texts)

    def touched(_screen: object, intent: StartIntent) -> bool:
        nonlocal desk
        desk = started(desk, intent)
        screen.model = start_page(desk, (), texts)
        if isinstance(intent, Begin) and desk.has_begun and not chosen.done():
            chosen.set_result(desk)
        return True

    screen.bind(on_touched=touched)
    screen.model = start_page(desk, (), texts)
    Window.clearcolor = look.margin.ground.rgba
    window.show(screen)
    done = await chosen
    assert done.seat is not None
    assert done.place is not None
    return Choice(done.seat, offers[done.place][1], done.relay)
