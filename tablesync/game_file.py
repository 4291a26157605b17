"""The game in a file: a record, a scenario, or a sheet before the game.

A scenario is known by the ending `.jsonl`, a game sheet by `.toml`; any other file is a
record. What reads one of the others is imported when there is one: a seat's window that
opens with a sheet waits for it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from pathlib import Path

    from tablesync.core.game import Game
    from tablesync.core.sheet import GameSheet
    from tablesync.record.fault import Fault

__all__ = ["FiledGame", "game_at", "sheet_at"]


@dataclass(frozen=True, slots=True)
class FiledGame:
    """A game as it stands when nothing more will come, and what it was read from."""

    game: Game
    origin: str
    """What to call the file on paper: "record 0123456789abcdef"."""
    faults: tuple[Fault, ...] = ()
    """What devices did that they must not do."""


def game_at(path: Path) -> FiledGame:
    """The game in a file.

    Raises:
        BadInputError: it can't be read, or is wrong.
    """
    match path.suffix:
        case ".jsonl":
            from tablesync.from_scenario import concluded
            from tablesync.scenario import read_scenario

            game = concluded(read_scenario(path))
            return FiledGame(game, "a scenario, no signed record")
        case ".toml":
            return FiledGame(_unbegun(path), "before the game")
        case _:
            from tablesync.record.path import record_at

            opened = record_at(path)
            origin = f"record {opened.fingerprint[:16]}"
            return FiledGame(opened.concluded(), origin, opened.faults)


def sheet_at(path: Path) -> GameSheet:
    """Who plays whom under which rules, by a game sheet or a scenario.

    Raises:
        BadInputError: it can't be read, or is wrong.
    """
    if path.suffix == ".toml":
        from tablesync.game_sheet_file import game_sheet_at

        return game_sheet_at(path)
    from tablesync.scenario import read_scenario

    return read_scenario(path).sheet


def _unbegun(path: Path) -> Game:
    from tablesync.core.game import Game
    from tablesync.sheet_bytes import game_id, write_sheet
    from tablesync.sheet_rules import rules_of

    sheet = sheet_at(path)
    return Game(sheet, rules_of(sheet), game_id(write_sheet(sheet)))
