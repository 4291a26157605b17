"""A game sheet as a file: TOML, written before the game.

::

    title = "Round 3"
    rules = "youth"
    court = "2"
    date = 2026-11-21
    place = "Saltmarsh Sports Hall"
    left = "away"

    [officials]
    referee = "J. Holm"
    umpire = "P. Calder"

    [home]
    name = "Harbour Mills"
    colour = "white"
    coach = "T. Adeyemi"
    roster = "rosters/harbour-mills.csv"

    [away]
    name = "Kestrel Park"
    colour = "green"
    coach = "S. Novak"
    players = [
        { number = "3", name = "J. Beck", starter = true },
        ...
    ]

`rules` is the name of a rule set or the path of a rule file, whose text goes onto the
sheet. A team has a `roster`, see `roster_file`, or its `players`. Paths begin at the
sheet's own folder. `date` is a date or text. `left` says whose bench is on the left,
seen from the table: `home` unless it is there. `title`, `court`, `date`, `place`,
`officials` and `mark` may be absent; a game without a title is called by its teams.
`mark` is any text that tells apart two games whose sheets are otherwise alike: a game
is known by everything that its sheet says.

Nothing is passed over: what is unknown, missing or makes no sense is refused with the
line.
"""

from __future__ import annotations

import re
import tomllib
from datetime import date
from typing import TYPE_CHECKING

from tablesync.core.acts import Side
from tablesync.core.sheet import GameSheet, Player, Team
from tablesync.core.tally import PerSide
from tablesync.errors import SheetError
from tablesync.frozen import dataclass
from tablesync.roster_file import LONGEST_NAME, in_roster_order, roster_at
from tablesync.sheet_fields import take_officials, take_rules
from tablesync.strict_object import StrictObject, keys_in_words
from tablesync.toml_lines import line_of

if TYPE_CHECKING:
    from pathlib import Path

    from tablesync.core.rules import RuleSet
    from tablesync.strict_object import Keys

__all__ = ["game_sheet_at"]

LONGEST_TEXT = 100
_LINE = re.compile(r"\(at line (\d+), column \d+\)")


@dataclass(frozen=True, slots=True)
class _File:
    """The sheet's file, for messages and for paths that begin there."""

    path: Path
    content: str

    def refusal(self, keys: Keys, what: str, expected: str) -> SheetError:
        return SheetError(self.where(keys), what, expected)

    def where(self, keys: Keys) -> str:
        return f"{self.path}:{line_of(self.content, keys)}" if keys else str(self.path)


def game_sheet_at(path: Path) -> GameSheet:
    """The game sheet in a file.

    Raises:
        SheetError: it, or a roster that it names, can't be read or is wrong.
        RuleFileError: the rule file that it names is wrong.
    """
    try:
        content = path.read_text(encoding="utf-8")
    except OSError as error:
        what = f"can't be read ({error.strerror})"
        raise SheetError(str(path), what, "a game sheet") from error
    except UnicodeDecodeError as error:
        raise SheetError(str(path), "is no UTF-8 text", "a game sheet") from error
    try:
        values = tomllib.loads(content)
    except tomllib.TOMLDecodeError as error:
        raise _no_toml(path, str(error)) from error
    file = _File(path, content)
    return _sheet(StrictObject(file, values), file)


def _no_toml(path: Path, said: str) -> SheetError:
    line = _LINE.search(said)
    where = f"{path}:{line[1]}" if line else str(path)
    return SheetError(where, f"is no TOML ({said})", "TOML")


def _sheet(values: StrictObject, file: _File) -> GameSheet:
    rules, rule_text = take_rules(values, file.path.parent)
    home, away = (_team(values.inner(side), side, rules, file) for side in Side)
    sheet = GameSheet(
        title=_optional_text(values, "title") or f"{home.name} v {away.name}",
        rules=rules.name,
        rule_text=rule_text,
        teams=PerSide(home, away),
        court=_optional_text(values, "court"),
        date=_date(values),
        venue=_optional_text(values, "place"),
        officials=take_officials(values),
        mark=_optional_text(values, "mark"),
        left=_left(values),
    )
    values.end("title, rules, court, date, place, left, officials, mark, home and away")
    return sheet


def _left(values: StrictObject) -> Side:
    return Side(values.one_of("left", tuple(Side))) if "left" in values else Side.HOME


def _is_text(value: object, longest: int) -> bool:
    """Whether it can stand on a sheet of paper."""
    if not isinstance(value, str) or not value.isprintable():
        return False
    return 0 < len(value.strip()) <= longest


def _text(values: StrictObject, key: str, longest: int = LONGEST_TEXT) -> str:
    expected = f"text of 1 to {longest} plain characters"
    value = values.take_as(key, expected, lambda v: _is_text(v, longest))
    return str(value).strip()


def _optional_text(values: StrictObject, key: str) -> str:
    return _text(values, key) if key in values else ""


def _date(values: StrictObject) -> str:
    if "date" not in values:
        return ""
    value = values.take_as(
        "date",
        "a date such as 2026-11-21, or text",
        lambda v: (
            type(v) is date or (isinstance(v, str) and 0 < len(v) <= LONGEST_TEXT)
        ),
    )
    return str(value)


def _team(team: StrictObject, side: Side, rules: RuleSet, file: _File) -> Team:
    name, colour, coach = (_text(team, key) for key in ("name", "colour", "coach"))
    if ("roster" in team) is ("players" in team):
        both = "both" if "roster" in team else "neither"
        raise team.refusal(f"{side} has {both} of roster and players", "one of them")
    if "roster" in team:
        players = roster_at(file.path.parent / _text(team, "roster"), rules)
    else:
        players = _players(team, side, rules, file)
    team.end("name, colour, coach, and roster or players")
    return Team(name, colour, coach, players)


def _players(
    team: StrictObject, side: Side, rules: RuleSet, file: _File
) -> tuple[Player, ...]:
    listed = tuple(map(_player, team.items("players")))

    def place(index: int) -> str:
        keys = (side, "players", index)
        return f"{file.where(keys)}: {keys_in_words(keys)}"

    return in_roster_order(listed, file.where((side, "players")), place, rules)


def _player(player: StrictObject) -> Player:
    expected = "a number as text, since 0 and 00 differ"
    number = player.take_as("number", expected, lambda v: isinstance(v, str))
    name = _text(player, "name", LONGEST_NAME)
    starter = player.flag("starter")
    player.end("number, name, starter")
    return Player(str(number), name, starter)
