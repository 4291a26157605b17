from __future__ import annotations

from pathlib import Path

import pytest

from tablesync.core.acts import Side
from tablesync.core.sheet import Official
from tablesync.errors import RuleFileError, SheetError
from tablesync.game_sheet_file import game_sheet_at
from tablesync.sheet_bytes import read_sheet, write_sheet
from tablesync.sheet_rules import rules_of

EXAMPLE = Path("scenarios/game-sheet.toml")
GOOD = """\
rules = "nfhs-2023"
[home]
name = "Fen Lane"
colour = "red"
coach = "R. Sallow"
players = [
    { number = "10", name = "Ash Wynn", starter = true },
    { number = "4", name = "Lee Marsh", starter = true },
]
[away]
name = "Quarry Hill"
colour = "grey"
coach = "P. Oakes"
roster = "hill.csv"
"""
HILL = "number,name,starter\n3,Kim Sallow,yes\n"
PLAIN = "expected text of 1 to 100 plain characters"


@pytest.fixture
def sheet(tmp_path: Path) -> Path:
    (tmp_path / "hill.csv").write_text(HILL, encoding="utf-8")
    path = tmp_path / "game.toml"
    path.write_text(GOOD, encoding="utf-8")
    return path


def refusal(path: Path) -> str:
    with pytest.raises(SheetError) as refused:
        game_sheet_at(path)
    return str(refused.value).removeprefix(f"{path.parent}/")


def test_the_example_is_read_with_its_roster_and_its_rules() -> None:
    sheet = game_sheet_at(EXAMPLE)
    assert (sheet.title, sheet.court, sheet.date) == ("Round 3", "2", "2026-11-21")
    assert sheet.venue == "Saltmarsh Sports Hall"
    assert sheet.left is Side.AWAY
    assert sheet.officials[0] == Official("referee", "J. Holm")
    assert sheet.colour(Side.HOME) == "white"
    numbers = [player.number for player in sheet.teams.home.players]
    assert numbers == ["0", "4", "5", "7", "8", "9", "11", "12", "15"]
    rules = rules_of(sheet)
    assert (sheet.rules, rules.period_ms) == ("saltmarsh-under-12", 300_000)
    assert read_sheet(write_sheet(sheet)) == sheet


def test_what_may_be_absent_is_absent(sheet: Path) -> None:
    read = game_sheet_at(sheet)
    assert read.title == "Fen Lane v Quarry Hill"
    assert (read.court, read.date, read.venue, read.mark) == ("", "", "", "")
    assert (read.officials, read.left, read.rule_text) == ((), Side.HOME, "")
    assert [player.number for player in read.teams.home.players] == ["4", "10"]
    assert [player.name for player in read.teams.away.players] == ["Kim Sallow"]


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        (
            'rules = "nfhs-2023"',
            "rules = ",
            "game.toml:1: is no TOML (Invalid value (at line 1, column 9)); expected "
            "TOML",
        ),
        (
            'rules = "nfhs-2023"',
            "",
            "game.toml: rules is missing; expected a text",
        ),
        (
            'rules = "nfhs-2023"',
            'rules = "fiba-1932"',
            "game.toml:1: there is no rule set 'fiba-1932'; expected fiba-2024, "
            "ncaa-men, ncaa-women, nfhs-2022, nfhs-2023, youth, or a rule file's path",
        ),
        (
            'rules = "nfhs-2023"',
            'rules = "nfhs-2023"\nplace = ""',
            f'game.toml:2: place is ""; {PLAIN}',
        ),
        (
            'rules = "nfhs-2023"',
            'rules = "nfhs-2023"\n\n# when\ndate = 10:30:00',
            'game.toml:4: date is "10:30:00"; expected a date such as 2026-11-21, or '
            "text",
        ),
        (
            'rules = "nfhs-2023"',
            'rules = "nfhs-2023"\nleft = "middle"',
            'game.toml:2: left is "middle"; expected "home" or "away"',
        ),
        (
            'rules = "nfhs-2023"',
            'rules = "nfhs-2023"\nofficials = 2',
            "game.toml:2: officials is 2; expected a list of names, or an object of "
            "role and name",
        ),
        (
            'rules = "nfhs-2023"',
            'rules = "nfhs-2023"\nvenue = "a hall"',
            "game.toml:2: venue is not known here; expected title, rules, court, date, "
            "place, left, officials, mark, home and away",
        ),
        (
            'colour = "grey"',
            "",
            f"game.toml:10: away.colour is missing; {PLAIN}",
        ),
        (
            'coach = "P. Oakes"',
            'coach = "P. \\u202e Oakes"',
            f'game.toml:13: away.coach is "P. \u202e Oakes"; {PLAIN}',
        ),
        (
            'coach = "P. Oakes"',
            'coach = "P. Oakes"\ncaptain = "3"',
            "game.toml:14: away.captain is not known here; expected name, colour, "
            "coach, and roster or players",
        ),
        (
            'roster = "hill.csv"',
            "",
            "game.toml:10: away has neither of roster and players; expected one of "
            "them",
        ),
        (
            'roster = "hill.csv"',
            'roster = "hill.csv"\nplayers = []',
            "game.toml:10: away has both of roster and players; expected one of them",
        ),
        (
            'roster = "hill.csv"',
            'roster = "none.csv"',
            "none.csv: can't be read (No such file or directory); expected a roster "
            "file",
        ),
        (
            'roster = "hill.csv"',
            "players = []",
            "game.toml:14: there are no players; expected each with number and name",
        ),
        (
            'number = "4"',
            "number = 4",
            "game.toml:6: home.players[1].number is 4; expected a number as text, "
            "since 0 and 00 differ",
        ),
        (
            'number = "4"',
            'number = "66"',
            "game.toml:6: home.players[1]: the number is '66'; expected 0, 00, 1 to 5, "
            "or two digits of which none is above 5 (NFHS from 2023-24 on)",
        ),
        (
            'number = "4"',
            'number = "10"',
            "game.toml:6: home.players[1]: 10 is the number of Ash Wynn too; expected "
            "each once",
        ),
        (
            "true },\n]",
            "false },\n]",
            "game.toml:6: there are only 1 starters; expected 2 starters",
        ),
        (
            'name = "Lee Marsh", starter = true',
            'name = "Lee Marsh"',
            "game.toml:6: home.players[1].starter is missing; expected true or false",
        ),
    ],
)
def test_what_is_wrong_is_named_with_its_line(
    sheet: Path, old: str, new: str, sentence: str
) -> None:
    assert old in GOOD
    sheet.write_text(GOOD.replace(old, new), encoding="utf-8")
    assert refusal(sheet) == sentence


def test_what_is_wrong_in_a_roster_is_named_with_the_rosters_line(sheet: Path) -> None:
    (sheet.parent / "hill.csv").write_text(HILL + "3,Lee Marsh,no\n", encoding="utf-8")
    assert refusal(sheet) == (
        "hill.csv:3: 3 is the number of Kim Sallow too; expected each once"
    )


def test_what_is_wrong_in_the_rule_file_is_named_with_its_path(sheet: Path) -> None:
    rules = sheet.parent / "league.toml"
    rules.write_text('base = "youth"\n', encoding="utf-8")
    sheet.write_text(GOOD.replace("nfhs-2023", "league.toml"), encoding="utf-8")
    with pytest.raises(RuleFileError) as refused:
        game_sheet_at(sheet)
    assert str(refused.value) == (
        f"{rules}: name is missing; expected text of 1 to 80 characters"
    )


def test_a_file_that_can_not_be_read_is_said_so(tmp_path: Path) -> None:
    path = tmp_path / "game.toml"
    assert refusal(path) == (
        "game.toml: can't be read (No such file or directory); expected a game sheet"
    )
    path.write_bytes(b'title = "J\xf6rg"')
    assert refusal(path) == "game.toml: is no UTF-8 text; expected a game sheet"
