"""What had been begun when the program ended, so that it can be gone on with.

Entries are in the journal. This is only what was not an entry yet: who was picked for
a substitution, what had been typed, which page was open. It fits the record as it was,
so it is recalled only while no entry has come since.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from mobile.presenters.desk import Desk
from mobile.presenters.intents import ChoosePlayer, FoulPlace, Page
from tablesync.core.acts import Charged, EntryId, Side
from tablesync.core.vector_clock import DeviceId

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["keep_desk", "recall_desk"]


def keep_desk(desk: Desk, entries: int, path: Path) -> None:
    """Writes what has been begun.

    Args:
        desk: as it is now.
        entries: how many entries the seat has.
        path: where to; what was there is replaced.

    Raises:
        OSError: it can't be written.
    """
    values = {
        "entries": entries,
        "page": desk.page.value,
        "team": desk.team.value,
        "moving": None if desk.moving is None else desk.moving.value,
        "picked": list(desk.picked),
        "digits": desk.digits,
        "chosen": None if desk.chosen is None else desk.chosen.number,
        "replacing": None if desk.replacing is None else _written(desk.replacing),
        "kind_of": None if desk.kind_of is None else _placed(desk.kind_of),
    }
    path.write_text(json.dumps(values), encoding="utf-8")


def recall_desk(entries: int, path: Path) -> Desk:
    """Reads what had been begun; a desk at rest where that no longer fits.

    Args:
        entries: how many entries the seat has now.
        path: where it was written to.
    """
    try:
        values = json.loads(path.read_text(encoding="utf-8"))
        if values["entries"] != entries:
            return Desk()
        moving = values["moving"]
        page, team = Page(values["page"]), Side(values["team"])
        number, replacing = values["chosen"], values["replacing"]
        kind_of = values["kind_of"]
        return Desk(
            # What words were for is not kept, so neither is their page.
            page=Page.PLAY if page is Page.WORDS else page,
            team=team,
            chosen=None if number is None else ChoosePlayer(team, str(number)),
            replacing=None if replacing is None else _entry(replacing),
            kind_of=None if kind_of is None else _foul_place(kind_of),
            moving=None if moving is None else Side(moving),
            picked=tuple(map(str, values["picked"])),
            digits=str(values["digits"]),
        )
    except (OSError, ValueError, KeyError, TypeError):
        # Nothing of the game is lost with it.
        return Desk()


def _written(entry: EntryId) -> list[str | int]:
    return [entry.device.hex(), entry.number]


def _entry(values: list[str | int]) -> EntryId:
    device, number = values
    return EntryId(DeviceId(bytes.fromhex(str(device))), int(number))


def _placed(place: FoulPlace) -> list[str | None]:
    return [place.side.value, place.number, place.charged.value]


def _foul_place(values: list[str | None]) -> FoulPlace:
    side, number, charged = values
    return FoulPlace(Side(str(side)), number, Charged(str(charged)))
