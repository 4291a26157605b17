"""What an examination of a record file came to, in lines or as plain values."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.box_score import RULINGS_PREVAIL
from tablesync.core.acts import Seat
from tablesync.errors import RuleFileError
from tablesync.final import final_of
from tablesync.record.assurance import not_shown, shown

if TYPE_CHECKING:
    from tablesync.core.game import Game
    from tablesync.core.tally import PerSide
    from tablesync.record.fault import Fault
    from tablesync.record.verification import Examined, OpenedRecord

__all__ = ["verdict_lines", "verdict_values"]

MOST_FAULTS = 12
"""As many are told in lines; the first is the one that matters."""


def verdict_lines(examined: Examined) -> list[str]:
    """The verdict for a reader."""
    lines = _fault_lines(examined.faults) or ["Sound: no fault was found."]
    opened = examined.opened
    if opened is None:
        return lines
    return [
        *lines,
        "",
        *_figures(opened),
        f"Game          {opened.game.hex()}",
        f"Fingerprint   {opened.fingerprint}",
        f"Written by    {', '.join(_programs(opened))}",
        "",
        "What the file shows",
        *(f"  + {sentence}" for sentence in shown(opened)),
        "",
        "What it does not show",
        *(f"  - {sentence}" for sentence in not_shown(opened)),
        "",
        RULINGS_PREVAIL,
    ]


def verdict_values(examined: Examined) -> dict[str, object]:
    """The verdict as plain values for JSON."""
    head = {
        "sound": examined.is_sound,
        "faults": [{"where": one.where, "what": one.what} for one in examined.faults],
    }
    opened = examined.opened
    if opened is None:
        return head
    game = _concluded(opened)
    return {
        **head,
        "game": opened.game.hex(),
        "fingerprint": opened.fingerprint,
        "software": _programs(opened),
        "entries": len(opened.entries),
        "shown": list(shown(opened)),
        "not_shown": list(not_shown(opened)),
        "final": final_of(game) if game else None,
    }


def _fault_lines(faults: tuple[Fault, ...]) -> list[str]:
    if not faults:
        return []
    many = len(faults) - MOST_FAULTS
    return [
        f"Not sound. The first fault is at {faults[0].where}.",
        "",
        *(f"  ! {fault}" for fault in faults[:MOST_FAULTS]),
        *([f"  ! and {many} more"] if many > 0 else []),
    ]


def _programs(opened: OpenedRecord) -> list[str]:
    return [f"{one.program} {one.version}" for one in opened.record.software]


def _concluded(opened: OpenedRecord) -> Game | None:
    """The game, unless it was played under rules that this program does not know."""
    try:
        return opened.concluded()
    except RuleFileError:
        return None


def _figures(opened: OpenedRecord) -> list[str]:
    home, away = opened.sheet.teams.home, opened.sheet.teams.away
    lines = [f"Teams         {home.name} ({home.colour}), {away.name} ({away.colour})"]
    game = _concluded(opened)
    if game is None:
        return [*lines, f"Score         unknown rules {opened.sheet.rules!r}"]
    book, board = (game.tally(seat).score for seat in (Seat.BOOK, Seat.CLOCK))
    findings = len(game.open_findings())
    return [
        *lines,
        f"Score         book {_pair(book)}, board {_pair(board)}",
        f"Findings      {findings or 'none'} open at the end",
    ]


def _pair(pair: PerSide[int]) -> str:
    return f"{pair.home}:{pair.away}"
