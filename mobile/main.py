"""Opens the windows: a seat, a table of two seats, the director's courts.

Kivy is imported only once it is set up, so nothing of it is imported on top here.
"""

from __future__ import annotations

import asyncio
import os
import sys
from dataclasses import replace
from functools import partial
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from mobile.kivy_settings import apply_settings
from mobile.settings import load_settings, save_settings
from tablesync.core.acts import Seat

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mobile.app import TableWindow
    from mobile.settings import Settings
    from tablesync.core.sheet import GameSheet
    from tablesync.journal import Journal

__all__ = ["JOURNALS", "data_folder", "open_director", "open_seat", "open_table"]

WIDE = (1280, 800)
JOURNALS, SETTINGS = "journals", "settings.json"


def data_folder() -> Path:
    """Where this device keeps its journals and its settings.

    TABLESYNC_HOME names another folder, for several devices on one machine.
    """
    given = os.environ.get("TABLESYNC_HOME")
    return Path(given) if given else Path.home() / ".tablesync"


def open_seat(
    seat: Seat | None = None, relay: str = "", sheet: GameSheet | None = None
) -> None:
    """Opens a seat's window and returns when it is closed.

    Goes on with the game that this device was last in and that is not signed, unless
    another one is given. Asks on the cover only what it can't know.

    Args:
        seat: where the device sits; None where the game or the official says.
        relay: the relay's address; empty for the one used last, or none.
        sheet: the game; None to go on with one, or to choose it.

    Raises:
        StorageError: the journal can't be opened or written.
    """
    apply_settings(WIDE)
    asyncio.run(_open_seat(seat, relay, sheet))


async def _open_seat(seat: Seat | None, relay: str, sheet: GameSheet | None) -> None:
    from mobile.app import TableWindow

    folder = data_folder()
    (folder / JOURNALS).mkdir(parents=True, exist_ok=True)
    settings = load_settings(folder / SETTINGS)
    if relay:
        settings = replace(settings, relay=relay)
        save_settings(settings, folder / SETTINGS)
    title = f"tablesync: {seat}" if seat else "tablesync"
    program = partial(_seat_program, settings=settings, seat=seat, sheet=sheet)
    await TableWindow(title).run_program(program)


async def _seat_program(
    window: TableWindow, settings: Settings, seat: Seat | None, sheet: GameSheet | None
) -> None:
    """Finds out which seat of which game, and shows it."""
    from mobile.choice import known_choice, offers_of
    from mobile.cover import ask
    from mobile.journals import begin, begun_games

    journals = data_folder() / JOURNALS
    begun = await begun_games(journals)
    choice = known_choice(begun, seat, sheet, settings.relay)
    if choice is None:
        offers = offers_of(begun, sheet, settings.language.texts)
        choice = await ask(window, offers, settings, seat)
        settings = replace(settings, relay=choice.relay)
    journal = await begin(journals, choice.seat, choice.sheet)
    await _sit(window, journal, settings)


async def _sit(window: TableWindow, journal: Journal, settings: Settings) -> None:
    """Shows the seat of a journal until its window is closed."""
    from mobile.app import sit_down
    from mobile.desk_memory import recall_desk
    from mobile.device_seat import DeviceSeat
    from mobile.seat_shell import SeatShell
    from mobile.stage import Stage
    from mobile.surroundings import DeviceSurroundings
    from tablesync.client import DeviceSession
    from tablesync.clock import MonotonicClock
    from tablesync.sync.timing import Timing

    folder, desk_file = data_folder(), Path(f"{journal.where}.desk")
    session = await DeviceSession.open(journal, MonotonicClock(), Timing())
    with TemporaryDirectory(prefix="tablesync-") as sounds:
        async with session:
            device = DeviceSeat(session)
            shell = SeatShell(device, settings)
            shell.desk = recall_desk(shell.entries, desk_file)
            around = DeviceSurroundings(Path(sounds), folder / SETTINGS, desk_file)
            random = Random()
            company = partial(device.keep_up, settings.relay, random)
            await sit_down(window, Stage(shell, around), company)


def open_table(
    game_file: Path,
    folder: Path | None = None,
    host: str = "127.0.0.1",
    port: int = 0,
) -> int:
    """Opens a relay and both seats' windows on this machine; ends with the windows.

    Args:
        game_file: the scenario or game sheet that says who plays.
        folder: where relay and seats keep what is entered; None to try it only, with a
            folder that is gone afterwards.
        host: the address at which the relay listens, so that others can look on.
        port: its port; 0 takes a free one.

    Returns:
        The exit status: 0 where both windows were closed by their officials.
    """
    if folder is not None:
        return asyncio.run(_open_table(game_file, folder, host, port))
    with TemporaryDirectory(prefix="tablesync-") as passing:
        return asyncio.run(_open_table(game_file, Path(passing), host, port))


async def _open_table(game_file: Path, folder: Path, host: str, port: int) -> int:
    from tablesync.clock import MonotonicClock
    from tablesync.server import serve
    from tablesync.store import Store
    from tablesync.sync.timing import Timing

    async with (
        await Store.open(folder / "relay.db") as store,
        await serve(store, MonotonicClock(), Timing(), host, port) as relay,
    ):
        windows = [
            await _window(seat, relay.address, game_file, folder / seat)
            for seat in (Seat.BOOK, Seat.CLOCK)
        ]
        try:
            statuses = await asyncio.gather(*(one.wait() for one in windows))
        finally:
            for one in windows:
                if one.returncode is None:
                    one.terminate()
                    await one.wait()
    return max(statuses)


def open_director(relay: str, sheets: Sequence[GameSheet]) -> None:
    """Opens the window of all these games at a relay; returns when it is closed.

    It enters nothing and keeps nothing.

    Args:
        relay: the relay's address.
        sheets: the games of the courts, whether or not they have begun.
    """
    apply_settings(WIDE)
    asyncio.run(_open_director(relay, sheets))


async def _open_director(relay: str, sheets: Sequence[GameSheet]) -> None:
    from mobile.app import TableWindow
    from mobile.court_watch import CourtWatch
    from mobile.director_desk import direct

    settings = load_settings(data_folder() / SETTINGS)
    with TemporaryDirectory(prefix="tablesync-") as folder:
        async with CourtWatch(relay, Path(folder), Random()) as watch:
            await watch.look_at(sheets)
            program = partial(direct, watch=watch, settings=settings)
            await TableWindow("tablesync").run_program(program)


async def _window(
    seat: Seat, relay: str, game_file: Path, home: Path
) -> asyncio.subprocess.Process:
    """Opens a seat's window in a process of its own: Kivy has one in each."""
    command = (sys.executable, "-m", "mobile.main", seat, relay, str(game_file))
    environment = {**os.environ, "TABLESYNC_HOME": str(home)}
    return await asyncio.create_subprocess_exec(*command, env=environment)


def _main(arguments: list[str]) -> None:
    """What a telephone starts without arguments, and `open_table` with three."""
    match arguments:
        case [seat, relay, game_file]:
            from tablesync.game_file import sheet_at

            open_seat(Seat(seat), relay, sheet_at(Path(game_file)))
        case _:
            open_seat()


if __name__ == "__main__":
    _main(sys.argv[1:])
