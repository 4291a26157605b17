"""The courts of a relay in a terminal, kept up to date, or as lines for a program."""

from __future__ import annotations

import asyncio
import json
import sys
from enum import Enum, auto
from typing import TYPE_CHECKING

from rich.console import Console, Group
from rich.live import Live
from rich.text import Text

from tablesync.clock import MonotonicClock
from tablesync.court_client import CourtSession
from tablesync.court_table import court_table, court_values
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from collections.abc import Coroutine

    from rich.console import RenderableType

    from tablesync.core.summary import Newcomer

__all__ = ["Display", "Form", "let_in", "show_courts"]

REDRAW_S = 0.25
STALE_MS = 2_500
"""A relay says the time every second; after so long without it a table is marked."""
AROUND_ROWS = 7
"""Lines of a terminal that are taken by what stands around the courts."""


class Form(Enum):
    """How the courts are told."""

    TABLE = auto()
    VALUES = auto()


@dataclass(frozen=True, slots=True)
class Display:
    """What is shown, and for how long."""

    form: Form
    ends_when_complete: bool


async def show_courts(address: str, display: Display) -> None:
    """Shows the courts until interrupted, or once.

    Raises:
        UnreachableError: nobody answers there, where they are to be shown once.
        ProtocolError, RefusedError: one end refused the other.
    """
    session = CourtSession(address, MonotonicClock())
    console = Console()
    if display.ends_when_complete:
        shown = _once(session, display.form, console)
        await _until_one_ends(session.follow(), shown)
        return
    is_table = display.form is Form.TABLE
    showing = _table(session, console, address) if is_table else _values(session)
    await _until_one_ends(session.keep_following(), showing)


async def let_in(address: str, name: str) -> None:
    """Lets in the device of that name, once it waits at one of the courts.

    Args:
        address: an invitation to look on at every game.
        name: how the device's id begins, as the courts' table shows it.

    Raises:
        ProtocolError, RefusedError: one end refused the other.
    """
    session = CourtSession(address, MonotonicClock())
    confirming = _confirm(session, name.lower())
    await _until_one_ends(session.keep_following(), confirming)


async def _confirm(session: CourtSession, name: str) -> None:
    while (found := _waiting(session, name)) is None:
        await session.wait_for_news()
    session.confirm(*found)
    while _waiting(session, name) is not None:
        await session.wait_for_news()
    newcomer = found[1]
    device = newcomer.device.hex()[:8]
    sys.stdout.write(f"Device {device} is let in to the {newcomer.seat} seat.\n")


def _waiting(session: CourtSession, name: str) -> tuple[bytes, Newcomer] | None:
    """The device of that name and its game, while it waits."""
    for game, court in session.desk.courts.items():
        for newcomer in court.asked.newcomers:
            if newcomer.device.hex().startswith(name):
                return game, newcomer
    return None


async def _until_one_ends(*jobs: Coroutine[None, None, None]) -> None:
    tasks = [asyncio.create_task(job) for job in jobs]
    try:
        done, _ = await asyncio.wait(tasks, return_when=asyncio.FIRST_COMPLETED)
        for task in done:
            task.result()
    finally:
        for task in tasks:
            task.cancel()
        await asyncio.gather(*tasks, return_exceptions=True)


async def _once(session: CourtSession, form: Form, console: Console) -> None:
    while not session.desk.is_complete:
        await session.wait_for_news()
    if form is Form.VALUES:
        _print_changed(session)
    else:
        courts = session.desk.courts.values()
        console.print(court_table(courts, session.relay_ms(), len(courts)))


async def _values(session: CourtSession) -> None:
    while True:
        await session.wait_for_news()
        _print_changed(session)


def _print_changed(session: CourtSession) -> None:
    now_ms = session.relay_ms()
    for game in session.desk.take_changed():
        court = session.desk.courts.get(game)
        values: dict[str, object] = (
            {"game": game.hex(), "gone": True}
            if court is None
            else court_values(game, court, now_ms)
        )
        sys.stdout.write(json.dumps(values, ensure_ascii=False) + "\n")
    sys.stdout.flush()


async def _table(session: CourtSession, console: Console, address: str) -> None:
    with Live(console=console, screen=console.is_terminal, auto_refresh=False) as live:
        while True:
            live.update(_page(session, console, address), refresh=True)
            await asyncio.sleep(REDRAW_S)


def _page(session: CourtSession, console: Console, address: str) -> RenderableType:
    age_ms = session.age_ms
    if age_ms is None:
        return Text(f"Asking the relay at {address} …", "dim")
    heading = Text(f"The courts of {address}", "bold")
    if age_ms > STALE_MS:
        stale = (
            f"Nothing heard of the relay for {age_ms // 1_000} s: this is how it was."
        )
        heading = Text(stale, "bold red")
    rows = max(1, console.height - AROUND_ROWS)
    courts = session.desk.courts.values()
    return Group(heading, court_table(courts, session.relay_ms(), rows))
