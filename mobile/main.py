"""Opens a seat's window. A telephone starts here, and each window of a table.

Kivy is imported only once it is set up, so nothing of it is imported on top here.
"""

from __future__ import annotations

import asyncio
import gc
import sys
from dataclasses import replace
from functools import partial
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from mobile.choice import known_choice
from mobile.folders import DeviceFolder
from mobile.kivy_settings import apply_settings
from mobile.settings import load_settings, save_settings
from mobile.window_place import WIDE, WindowPlace, window_named
from tablesync.core.acts import Seat
from tablesync.frozen import dataclass
from tablesync.game_file import sheet_at
from tablesync.tasks import call_off

if TYPE_CHECKING:
    from collections.abc import Callable

    from mobile.app import TableWindow
    from mobile.cover import Cover
    from mobile.device_seat import DeviceSeat
    from mobile.journals import Begun
    from mobile.self_play import Due
    from mobile.settings import Settings
    from tablesync.core.sheet import GameSheet
    from tablesync.journal import Journal

__all__ = ["Opening", "open_seat"]


@dataclass(frozen=True, slots=True)
class Opening:
    """What is known before a seat's window opens; what is not is asked there."""

    seat: Seat | None = None
    """None where the game says it, or the official."""
    relay: str = ""
    """Empty for the one used last, or none."""
    sheet: GameSheet | None = None
    """None to go on with a game, or to choose it."""
    script: tuple[Due, ...] = ()
    """What the seat enters by itself, for a table to look at."""


def open_seat(opening: Opening, place: WindowPlace | None = None) -> None:
    """Opens a seat's window and returns when it is closed.

    Goes on with the game that this device was last in and that is not signed, unless
    another one is given. Asks on the cover only what it can't know.

    Args:
        opening: what is known already.
        place: where the window opens; None where the desktop puts it.

    Raises:
        StorageError: the journal can't be opened or written.
    """
    # Next to nothing that a start makes is garbage, and looking for it takes 70 ms of
    # it. The window enables this again with the first that it shows.
    gc.disable()
    if place is None:
        apply_settings(WIDE)
    else:
        apply_settings(place.size, place.corner)
    asyncio.run(_open_seat(opening))


async def _open_seat(opening: Opening) -> None:
    from mobile.app import TableWindow

    folder = DeviceFolder.of_this_device()
    folder.make()
    settings = load_settings(folder.settings)
    if opening.relay:
        settings = replace(settings, relay=opening.relay)
        save_settings(settings, folder.settings)
    seat = opening.seat
    title = f"tablesync: {seat}" if seat else "tablesync"
    program = partial(_seat_program, opening=opening, folder=folder)
    await TableWindow(title).run_program(program)


async def _seat_program(
    window: TableWindow, opening: Opening, folder: DeviceFolder
) -> None:
    """Finds out which seat of which game, and shows it; again when it is left."""
    from mobile.journals import begin, begun_games

    seat, settings = opening.seat, load_settings(folder.settings)
    begun = await begun_games(folder.journals)
    choice = known_choice(begun, seat, opening.sheet, settings.relay)
    while True:
        if choice is None:
            from mobile.network_scout import NetworkScout

            cover = _cover(begun, opening, folder, seat)
            choice = await cover.ask(window, NetworkScout(folder.journals))
            save_settings(
                replace(load_settings(folder.settings), relay=choice.relay),
                folder.settings,
            )
        journal = await begin(folder.journals, choice.seat, choice.sheet)
        await _sit(window, journal, folder, opening.script)
        seat, choice = choice.seat, None
        begun = await begun_games(folder.journals)


def _cover(
    begun: tuple[Begun, ...], opening: Opening, folder: DeviceFolder, seat: Seat | None
) -> Cover:
    """The cover with the games begun here, the one given, and those in the folder."""
    from mobile.cover import Cover
    from mobile.given_games import given_games
    from mobile.offers import begun_offers, new_offer
    from mobile.presenters.start_page import StartDesk

    settings, given = load_settings(folder.settings), given_games(folder.games)
    texts = settings.language.texts
    sheets = given.sheets if opening.sheet is None else (opening.sheet, *given.sheets)
    return Cover(
        [
            *begun_offers(begun, texts),
            *(new_offer(sheet, texts) for sheet in sheets),
        ],
        StartDesk(
            (),
            seat,
            relay=settings.relay,
            folder=str(folder.games),
            trouble=given.trouble,
        ),
        settings,
    )


async def _sit(
    window: TableWindow, journal: Journal, folder: DeviceFolder, script: tuple[Due, ...]
) -> None:
    """Shows the seat of a journal until the official leaves it."""
    from mobile.app import sit_down
    from mobile.desk_memory import recall_desk
    from mobile.device_seat import SHOWN_FIRST_S, DeviceSeat
    from mobile.seat_shell import SeatShell
    from mobile.stage import Stage
    from mobile.surroundings import DeviceSurroundings
    from tablesync.client import DeviceSession
    from tablesync.clock import MonotonicClock
    from tablesync.sync.timing import Timing

    settings, desk_file = load_settings(folder.settings), Path(f"{journal.where}.desk")
    session = await DeviceSession.open(
        journal, MonotonicClock(), Timing(), SHOWN_FIRST_S
    )
    with TemporaryDirectory(prefix="tablesync-") as sounds:
        async with session:
            device = DeviceSeat(session)
            shell = SeatShell(device, settings)
            shell.desk = recall_desk(shell.entries, desk_file)
            around = DeviceSurroundings(Path(sounds), folder.settings, desk_file)
            company = partial(_accompany, device, settings, script)
            await sit_down(window, Stage(shell, around), company)


async def _accompany(
    device: DeviceSeat,
    settings: Settings,
    script: tuple[Due, ...],
    changed: Callable[[], None],
) -> None:
    """Keeps the device connected, and enters the script if there is one."""
    if not script:
        await device.keep_up(settings.relay, Random(), changed)
        return
    from mobile.self_play import play_by_itself

    playing = asyncio.create_task(play_by_itself(device, script, asyncio.sleep))
    try:
        await device.keep_up(settings.relay, Random(), changed)
    finally:
        await call_off(playing)


def _main(arguments: list[str]) -> None:
    """What a telephone starts without arguments, and a table with some."""
    from argparse import ArgumentParser

    parser = ArgumentParser(prog="mobile.main")
    parser.add_argument("seat", nargs="?", type=Seat)
    parser.add_argument("--relay", default="")
    parser.add_argument("--game", type=Path)
    parser.add_argument("--script", type=Path)
    parser.add_argument("--window", type=window_named)
    asked = parser.parse_args(arguments)
    sheet = None if asked.game is None else sheet_at(asked.game)
    script = () if asked.script is None else _scripted(asked.script)
    open_seat(Opening(asked.seat, asked.relay, sheet, script), asked.window)


def _scripted(path: Path) -> tuple[Due, ...]:
    from mobile.self_play import schedule
    from tablesync.scenario import read_scenario

    return schedule(read_scenario(path).steps)


if __name__ == "__main__":
    _main(sys.argv[1:])
