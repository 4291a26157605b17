"""What an examination of a record file came to, in lines or as plain values."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.assurance import not_shown, shown
from tablesync.box_score import RULINGS_PREVAIL
from tablesync.core.acts import Seat
from tablesync.errors import RuleFileError
from tablesync.final import final_of

if TYPE_CHECKING:
    from tablesync.core.game import Game
    from tablesync.core.tally import PerSide
    from tablesync.verification import Examined, Fault, SoundRecord

__all__ = ["verdict_lines", "verdict_values"]

MOST_FAULTS = 12
"""As many are told in lines; the first is the one that matters."""


def verdict_lines(examined: Examined) -> list[str]:
    """The verdict for a reader."""
    if examined.sound is None:
        return _fault_lines(examined.faults)
    sound = examined.sound
    return [
        "Sound: no fault was found.",
        "",
        *_figures(sound),
        f"Game          {sound.game.hex()}",
        f"Fingerprint   {sound.fingerprint}",
        f"Written by    {', '.join(_programs(sound))}",
        "",
        "What the file shows",
        *(f"  + {sentence}" for sentence in shown(sound)),
        "",
        "What it does not show",
        *(f"  - {sentence}" for sentence in not_shown(sound)),
        "",
        RULINGS_PREVAIL,
    ]


def verdict_values(examined: Examined) -> dict[str, object]:
    """The verdict as plain values for JSON."""
    faults = [{"where": one.where, "what": one.what} for one in examined.faults]
    if examined.sound is None:
        return {"sound": False, "faults": faults}
    sound = examined.sound
    game = _concluded(sound)
    return {
        "sound": True,
        "faults": [],
        "game": sound.game.hex(),
        "fingerprint": sound.fingerprint,
        "software": _programs(sound),
        "entries": len(sound.entries),
        "shown": list(shown(sound)),
        "not_shown": list(not_shown(sound)),
        "final": final_of(game) if game else None,
    }


def _fault_lines(faults: tuple[Fault, ...]) -> list[str]:
    many = len(faults) - MOST_FAULTS
    return [
        f"Not sound. The first fault is at {faults[0].where}.",
        "",
        *(f"  ! {fault}" for fault in faults[:MOST_FAULTS]),
        *([f"  ! and {many} more"] if many > 0 else []),
    ]


def _programs(sound: SoundRecord) -> list[str]:
    return [f"{one.program} {one.version}" for one in sound.record.software]


def _concluded(sound: SoundRecord) -> Game | None:
    """The game, unless it was played under rules that this program does not know."""
    try:
        return sound.concluded()
    except RuleFileError:
        return None


def _figures(sound: SoundRecord) -> list[str]:
    home, away = sound.sheet.teams.home, sound.sheet.teams.away
    lines = [f"Teams         {home.name} ({home.colour}), {away.name} ({away.colour})"]
    game = _concluded(sound)
    if game is None:
        return [*lines, f"Score         unknown rules {sound.sheet.rules!r}"]
    book, board = (game.tally(seat).score for seat in (Seat.BOOK, Seat.CLOCK))
    findings = len(game.open_findings())
    return [
        *lines,
        f"Score         book {_pair(book)}, board {_pair(board)}",
        f"Findings      {findings or 'none'} open at the end",
    ]


def _pair(pair: PerSide[int]) -> str:
    return f"{pair.home}:{pair.away}"
