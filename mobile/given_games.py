"""The games that this device was given: game sheets and scenarios in a folder."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.errors import TableSyncError
from tablesync.frozen import dataclass
from tablesync.game_file import sheet_at

if TYPE_CHECKING:
    from pathlib import Path

    from tablesync.core.sheet import GameSheet

__all__ = ["GivenGames", "given_games"]

ENDINGS = (".toml", ".jsonl")


@dataclass(frozen=True, slots=True)
class GivenGames:
    """What could be read in a folder of games."""

    sheets: tuple[GameSheet, ...]
    """By the names of their files."""
    trouble: str
    """What is wrong with the first file that could not be read, or empty."""


def given_games(folder: Path) -> GivenGames:
    """The games in a folder. One bad file keeps none of the others away."""
    sheets: list[GameSheet] = []
    troubles: list[str] = []
    for path in sorted(folder.iterdir()):
        if path.suffix not in ENDINGS:
            continue
        try:
            sheets.append(sheet_at(path))
        except TableSyncError as error:
            troubles.append(str(error))
    return GivenGames(tuple(sheets), troubles[0] if troubles else "")
