"""What had been begun when the program ended, so that it can be gone on with.

Entries are in the journal. This is only what was not an entry yet: who was picked for
a substitution, what a card had asked, which words had been typed. It fits the record
as it was, so it is recalled only while the official has made no entry since.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from mobile.presenters.desk import Desk
from mobile.presenters.intents import (
    AskPlayer,
    AskWhy,
    ChoosePlayer,
    Fix,
    ForNote,
    ForProtest,
    ForSignature,
    FoulPlace,
    Page,
    Rows,
)
from tablesync.core.acts import Charged, EntryId, Side, Signer
from tablesync.core.tally import PerSide
from tablesync.core.vector_clock import DeviceId

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path
    from typing import TypeVar

    from mobile.presenters.intents import Purpose

    T = TypeVar("T")

__all__ = ["keep_desk", "recall_desk"]


def keep_desk(desk: Desk, entries: int, path: Path) -> None:
    """Writes what has been begun.

    Args:
        desk: as it is now.
        entries: how many entries the official has made.
        path: where to; what was there is replaced.

    Raises:
        OSError: it can't be written.
    """
    values = {
        "entries": entries,
        "page": desk.page.value,
        "team": desk.team.value,
        "rows": [rows.value for _, rows in desk.rows],
        "chosen": _if(desk.chosen, lambda one: [one.side.value, one.number]),
        "kind_of": _if(desk.kind_of, _placed),
        "moving": _if(desk.moving, lambda side: side.value),
        "picked": list(desk.picked),
        "replacing": _if(desk.replacing, _written),
        "asked": _if(desk.asked, _asked),
        "reason_for": desk.reason_for,
        "card": desk.card,
        "why": _if(desk.why, lambda why: [_written(why.entry), why.fix.value]),
        "reason": desk.reason,
        "purpose": None if desk.purpose is None else _meant(desk.purpose),
        "words": desk.words,
        "leaf": desk.leaf,
        "digits": desk.digits,
    }
    path.write_text(json.dumps(values), encoding="utf-8")


def recall_desk(entries: int, path: Path) -> Desk:
    """Reads what had been begun; a desk at rest where that no longer fits.

    Args:
        entries: how many entries the official has made by now.
        path: where it was written to.
    """
    try:
        values = json.loads(path.read_text(encoding="utf-8"))
        return _desk(values) if values["entries"] == entries else Desk()
    except (OSError, ValueError, KeyError, TypeError):
        # Nothing of the game is lost with it.
        return Desk()


def _desk(values: dict[str, Any]) -> Desk:
    return Desk(
        page=Page(values["page"]),
        team=Side(values["team"]),
        rows=PerSide(*map(Rows, values["rows"])),
        chosen=_if(values["chosen"], lambda one: ChoosePlayer(Side(one[0]), one[1])),
        kind_of=_if(values["kind_of"], _foul_place),
        moving=_if(values["moving"], Side),
        picked=tuple(values["picked"]),
        replacing=_if(values["replacing"], _entry),
        asked=_if(values["asked"], _ask_player),
        reason_for=values["reason_for"],
        card=int(values["card"]),
        why=_if(values["why"], lambda why: AskWhy(_entry(why[0]), Fix(why[1]))),
        reason=str(values["reason"]),
        purpose=_if(values["purpose"], _purpose),
        words=str(values["words"]),
        leaf=int(values["leaf"]),
        digits=str(values["digits"]),
    )


def _if(value: T | None, write: Callable[[T], Any]) -> Any:
    return None if value is None else write(value)


def _written(entry: EntryId) -> list[str | int]:
    return [entry.device.hex(), entry.number]


def _entry(values: list[Any]) -> EntryId:
    device, number = values
    return EntryId(DeviceId(bytes.fromhex(device)), int(number))


def _placed(place: FoulPlace) -> list[str | None]:
    return [place.side.value, place.number, place.charged.value]


def _foul_place(values: list[Any]) -> FoulPlace:
    side, number, charged = values
    return FoulPlace(Side(side), number, Charged(charged))


def _asked(ask: AskPlayer) -> list[Any]:
    strikes = _if(ask.strikes, _written)
    return [ask.side.value, ask.words, strikes, ask.finding, ask.at_ms]


def _ask_player(values: list[Any]) -> AskPlayer:
    side, words, strikes, finding, at_ms = values
    return AskPlayer(Side(side), words, _if(strikes, _entry), finding, at_ms)


def _meant(purpose: Purpose) -> list[str]:
    match purpose:
        case ForNote():
            return ["note"]
        case ForProtest(side=side):
            return ["protest", side.value]
        case ForSignature(role=role):
            return ["signature", role.value]


def _purpose(values: list[str]) -> Purpose:
    match values:
        case ["note"]:
            return ForNote()
        case ["protest", side]:
            return ForProtest(Side(side))
        case ["signature", role]:
            return ForSignature(Signer(role))
        case _:
            raise ValueError(values)
