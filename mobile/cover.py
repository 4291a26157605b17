"""The cover in the window: asks which seat of which game this device opens."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING

from kivy.core.window import Window

from mobile.choice import Choice
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
    from mobile.app import TableWindow
    from mobile.settings import Settings
    from tablesync.core.acts import Seat
    from tablesync.core.sheet import GameSheet

__all__ = ["ask"]


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
