"""A team's roster as a file: CSV with a header, one player a line.

::

    number,name,starter
    4,Ada Owusu,yes
    00,"Lindqvist, Bo",no

The file is UTF-8. `number` is as on the shirt: "0" and "00" differ. `starter` is `yes`
for those who start the game and `no` for the others; five start, or everybody where
there are fewer. The lines may stand in any order: the sheet has them in order of
number. Nothing is passed over: what a code does not allow and what makes no sense is
refused with the line.
"""

from __future__ import annotations

import csv
from io import StringIO
from typing import TYPE_CHECKING

from tablesync.core.roster_rules import STARTERS
from tablesync.core.sheet import Player, shirt_order
from tablesync.errors import FieldError, SheetError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence
    from pathlib import Path

    from tablesync.core.rules import RuleSet

__all__ = ["LONGEST_NAME", "in_roster_order", "read_roster", "roster_at"]

HEADER = ["number", "name", "starter"]
LONGEST_NAME = 60
_STARTER = {"yes": True, "no": False}


def roster_at(path: Path, rules: RuleSet) -> tuple[Player, ...]:
    """The players of a roster file, in order of number.

    Raises:
        SheetError: it can't be read, breaks its format, or the rules.
    """
    try:
        # Spreadsheets begin a file with a byte order mark.
        text = path.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise SheetError(
            str(path), f"can't be read ({error.strerror})", "a roster file"
        ) from error
    except UnicodeDecodeError as error:
        raise SheetError(str(path), "is no UTF-8 text", "a roster file") from error
    return read_roster(text, str(path), rules)


def read_roster(text: str, where: str, rules: RuleSet) -> tuple[Player, ...]:
    """The players of a roster, in order of number.

    Args:
        text: the file as it stands.
        where: what to call it in an error.
        rules: which numbers there can be, and how many players.

    Raises:
        SheetError: it breaks its format, or the rules.
    """
    lines = list(_lines(text, where))
    players = [player for _, player in lines]

    def place(index: int) -> str:
        return f"{where}:{lines[index][0]}"

    return in_roster_order(players, where, place, rules)


def in_roster_order(
    players: Sequence[Player], where: str, place: Callable[[int], str], rules: RuleSet
) -> tuple[Player, ...]:
    """The players in order of number, once nothing is wrong with them.

    Args:
        players: in the order in which they are listed.
        where: what to call the whole list in an error.
        place: what to call the player with that index in an error.
        rules: which numbers there can be, and how many players.

    Raises:
        SheetError: a number is impossible or there twice, or there are too many
            players, or not as many starters as there must be.
    """
    for index in range(len(players)):
        so_far = players[: index + 1]
        try:
            _require_number(so_far, rules)
            _require_room(so_far, rules)
        except FieldError as error:
            raise SheetError(place(index), error.what, error.expected) from error
    _require_starters(players, where)
    return tuple(sorted(players, key=lambda player: shirt_order(player.number)))


def _lines(text: str, where: str) -> Iterator[tuple[int, Player]]:
    """The players with the lines on which they stand."""
    reader = csv.reader(StringIO(text, newline=""), strict=True)
    expected = ",".join(HEADER)
    try:
        header = [cell.strip() for cell in next(reader, [])]
        if header != HEADER:
            what = f"the header is {','.join(header)!r}"
            raise SheetError(f"{where}:1", what, expected)
        for cells in reader:
            yield reader.line_num, _player(cells, f"{where}:{reader.line_num}")
    except csv.Error as error:
        line = f"{where}:{reader.line_num}"
        raise SheetError(line, f"is no CSV ({error})", expected) from error


def _player(cells: Iterable[str], where: str) -> Player:
    values = [cell.strip() for cell in cells]
    if len(values) != len(HEADER):
        what = f"has {len(values)} columns" if any(values) else "the line is empty"
        raise SheetError(where, what, ",".join(HEADER))
    number, name, starter = values
    if not 0 < len(name) <= LONGEST_NAME or not name.isprintable():
        raise SheetError(
            where, f"the name is {name!r}", f"1 to {LONGEST_NAME} plain characters"
        )
    if starter not in _STARTER:
        raise SheetError(where, f"starter is {starter!r}", "yes or no")
    return Player(number, name, _STARTER[starter])


def _require_number(players: Sequence[Player], rules: RuleSet) -> None:
    """Looks at the last one's number beside those before it."""
    *others, last = players
    number, roster = last.number, rules.roster
    if not roster.numbers.allow(number):
        raise FieldError(
            f"the number is {number!r}", f"{roster.numbers.words} ({rules.title})"
        )
    for other in others:
        if other.number == number:
            raise FieldError(f"{number} is the number of {other.name} too", "each once")
        if not roster.both_noughts and {other.number, number} == {"0", "00"}:
            raise FieldError(
                "the team has 0 and 00", f"only one of them ({rules.title})"
            )


def _require_room(players: Sequence[Player], rules: RuleSet) -> None:
    most = rules.roster.most_players
    if most is not None and len(players) > most:
        raise FieldError(
            f"here is player {most + 1}", f"at most {most} ({rules.title})"
        )
    starters = sum(player.starter for player in players)
    if starters > STARTERS:
        raise FieldError(f"here is starter {starters}", f"{STARTERS} starters")


def _require_starters(players: Sequence[Player], where: str) -> None:
    if not players:
        raise SheetError(where, "there are no players", "each with number and name")
    starters = sum(player.starter for player in players)
    needed = min(STARTERS, len(players))
    if starters < needed:
        count = f"only {starters} starters" if starters else "no starters"
        raise SheetError(where, f"there are {count}", f"{needed} starters")
