"""The program around a seat's screen: one loop for the window and the device."""

from __future__ import annotations

import asyncio
from contextlib import suppress
from typing import TYPE_CHECKING

from kivy.app import App
from kivy.base import EventLoop
from kivy.clock import Clock
from kivy.core.window import Window

from mobile.touch_input import TouchInput

if TYPE_CHECKING:
    from mobile.screens.frame import SeatFrame
    from mobile.stage import Stage

__all__ = ["SeatApp"]

REFRESH_S = 0.05
"""The clock shows tenths, and what others enter is seen within this time."""


class SeatApp(App):
    """One seat's window. Run it with `run_seat`."""

    title = "tablesync"

    def __init__(self, stage: Stage) -> None:
        super().__init__()
        self.stage = stage
        self._touches = TouchInput(Window.size)

    def build(self) -> SeatFrame:
        """Ties the window to the stage."""
        self.title = f"tablesync: {self.stage.shell.seat}"
        EventLoop.add_postproc_module(self._touches)
        Window.bind(
            size=self._resized,
            on_key_down=self.stage.key_down,
            on_key_up=self.stage.key_up,
        )
        Window.allow_screensaver = False
        Clock.schedule_interval(self.stage.refresh, REFRESH_S)
        return self.stage.frame

    async def run_seat(self) -> None:
        """Shows the window until it is closed, and enters what is touched."""
        work = asyncio.create_task(self.stage.shell.work(self.stage.refresh))
        try:
            await self.async_run(async_lib="asyncio")
        finally:
            EventLoop.remove_postproc_module(self._touches)
            work.cancel()
            with suppress(asyncio.CancelledError):
                await work

    def on_pause(self) -> bool:
        """Stays as it is while another program is in front: nothing is lost."""
        return True

    def _resized(self, _window: object, size: tuple[int, int]) -> None:
        self._touches.size = size
