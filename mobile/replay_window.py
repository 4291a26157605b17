"""A window in which a recorded game is gone through again."""

from __future__ import annotations

import asyncio
from functools import partial
from typing import TYPE_CHECKING

from mobile.folders import DeviceFolder
from mobile.kivy_settings import apply_settings
from mobile.presenters.replay_page import Move, Scrubber, ScrubTo
from mobile.settings import load_settings

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mobile.app import TableWindow
    from mobile.screens.replay import ReplayScreen
    from mobile.settings import Settings
    from tablesync.replay.replay import Replay

__all__ = ["ReplayDesk", "open_replay"]

WIDE = (1280, 800)
KEYS = {
    "right": Move.NEXT,
    "left": Move.BACK,
    "f": Move.FINDING_NEXT,
    "b": Move.FINDING_BACK,
    "home": Move.FIRST,
    "end": Move.LAST,
    "up": Move.CLOSER,
    "down": Move.WIDER,
}


def open_replay(replay: Replay, positions: Sequence[int], at_ms: int | None) -> None:
    """Opens the window and returns when it is closed.

    Args:
        replay: the game.
        positions: the steps to stop at; see `replay.filter.selected`.
        at_ms: the table time to begin with; None for the first step.
    """
    scrubber = Scrubber(replay, positions)
    if at_ms is not None:
        scrubber.go_to(at_ms)
    apply_settings(WIDE)
    asyncio.run(_show(scrubber))


async def _show(scrubber: Scrubber) -> None:
    from mobile.app import TableWindow

    title = "tablesync: replay"
    await TableWindow(title).run_program(partial(_until_closed, scrubber=scrubber))


async def _until_closed(window: TableWindow, scrubber: Scrubber) -> None:
    from kivy.core.window import Window

    desk = ReplayDesk(scrubber, load_settings(DeviceFolder.of_this_device().settings))
    window.show(desk.screen)
    Window.bind(on_key_down=desk.key_down)
    try:
        await asyncio.Event().wait()
    finally:
        Window.unbind(on_key_down=desk.key_down)


class ReplayDesk:
    """Keeps the screen showing the moment that was asked for."""

    def __init__(self, scrubber: Scrubber, settings: Settings) -> None:
        from kivy.core.window import Window

        from mobile.screens.replay import ReplayScreen

        self._scrubber = scrubber
        self._texts = settings.language.texts
        self.screen: ReplayScreen = ReplayScreen(
            texts=self._texts, model=scrubber.page(self._texts)
        )
        self.screen.bind(on_touched=self._touched)
        Window.clearcolor = self.screen.look.margin.ground.rgba

    def key_down(self, _window: object, code: int, *_: object) -> bool:
        """A key of the keyboard, which may be held down to go on and on."""
        from kivy.core.window import Keyboard

        names = {number: name for name, number in Keyboard.keycodes.items()}
        move = KEYS.get(names.get(code, ""))
        return move is not None and self._touched(self.screen, move)

    def _touched(self, _screen: object, intent: object) -> bool:
        match intent:
            case Move() | ScrubTo():
                self._scrubber.take(intent)
                self.screen.model = self._scrubber.page(self._texts)
            case _:
                pass
        return True
