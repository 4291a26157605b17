from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tablesync.core.rulesets import rule_set
from tablesync.core.sheet import Player
from tablesync.errors import SheetError
from tablesync.roster_file import read_roster, roster_at

if TYPE_CHECKING:
    from pathlib import Path

HEADER = "number,name,starter\n"
FIVE = "".join(f"{number},Ash Wynn {number},yes\n" for number in "54321")
GOOD = HEADER + FIVE
NOUGHTS = "0,Lee Marsh,no\n00,Kim Sallow,no\n"


def refusal(text: str, rules: str = "nfhs-2023") -> str:
    with pytest.raises(SheetError) as refused:
        read_roster(text, "mills.csv", rule_set(rules))
    return str(refused.value)


def test_the_players_stand_in_order_of_number() -> None:
    text = HEADER + '11,"Lindqvist, Bo",no\n' + FIVE + NOUGHTS
    players = read_roster(text, "mills.csv", rule_set("fiba-2024"))
    assert [player.number for player in players] == [
        *("0", "00", "1", "2", "3", "4", "5", "11")
    ]
    assert players[0] == Player("0", "Lee Marsh", starter=False)
    assert players[2] == Player("1", "Ash Wynn 1", starter=True)
    assert players[-1] == Player("11", "Lindqvist, Bo", starter=False)


def test_a_file_as_a_spreadsheet_writes_it_is_read(tmp_path: Path) -> None:
    path = tmp_path / "mills.csv"
    text = "\ufeff" + GOOD.replace("\n", "\r\n").replace(",yes", " , yes")
    path.write_bytes(text.encode())
    players = roster_at(path, rule_set("youth"))
    assert [player.name for player in players] == [f"Ash Wynn {n}" for n in "12345"]


def test_where_there_are_fewer_than_five_all_of_them_start() -> None:
    text = HEADER + "4,Ash Wynn,yes\n5,Lee Marsh,yes\n"
    assert len(read_roster(text, "mills.csv", rule_set("youth"))) == 2
    assert refusal(text.replace("5,Lee Marsh,yes", "5,Lee Marsh,no")) == (
        "mills.csv: there are only 1 starters; expected 2 starters"
    )


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "1: the header is ''; expected number,name,starter"),
        (
            "number;name;starter\n",
            "1: the header is 'number;name;starter'; expected number,name,starter",
        ),
        (GOOD + "\n", "7: the line is empty; expected number,name,starter"),
        (GOOD + "10,Lee Marsh\n", "7: has 2 columns; expected number,name,starter"),
        (
            HEADER + "4,Ash Wynn,yes,captain\n",
            "2: has 4 columns; expected number,name,starter",
        ),
        (GOOD + "10,,no\n", "7: the name is ''; expected 1 to 60 plain characters"),
        (
            GOOD + '10,"Lee\nMarsh",no\n',
            "8: the name is 'Lee\\nMarsh'; expected 1 to 60 plain characters",
        ),
        (
            GOOD + f"10,{'x' * 61},no\n",
            f"7: the name is '{'x' * 61}'; expected 1 to 60 plain characters",
        ),
        (GOOD + "10,Lee Marsh,No\n", "7: starter is 'No'; expected yes or no"),
        (
            GOOD + '10,Lee "Marsh,no\n11,"Kim',
            "8: is no CSV (unexpected end of data); expected number,name,starter",
        ),
        (
            GOOD + "4,Lee Marsh,no\n",
            "7: 4 is the number of Ash Wynn 4 too; expected each once",
        ),
        (
            GOOD + "7,Lee Marsh,no\n",
            "7: the number is '7'; expected 0, 00, 1 to 5, or two digits of which none "
            "is above 5 (NFHS from 2023-24 on)",
        ),
        (
            GOOD + NOUGHTS,
            "8: the team has 0 and 00; expected only one of them (NFHS from 2023-24 "
            "on)",
        ),
        (
            GOOD + "10,Lee Marsh,yes\n11,Kim Sallow,yes\n",
            "7: here is starter 6; expected 5 starters",
        ),
    ],
)
def test_what_is_wrong_is_named_with_its_line(text: str, sentence: str) -> None:
    assert refusal(text) == f"mills.csv:{sentence}"


def test_a_number_is_judged_by_the_code() -> None:
    assert refusal(GOOD + "04,Lee Marsh,no\n", "fiba-2024") == (
        "mills.csv:7: the number is '04'; expected 0, 00 or 1 to 99 (FIBA 2024)"
    )
    rules = rule_set("fiba-2024")
    assert len(read_roster(GOOD + "7,Lee Marsh,no\n", "mills.csv", rules)) == 6


def test_there_are_no_more_players_than_the_code_allows() -> None:
    bench = "".join(f"{number},Lee Marsh {number},no\n" for number in range(10, 18))
    assert refusal(GOOD + bench, "fiba-2024") == (
        "mills.csv:14: here is player 13; expected at most 12 (FIBA 2024)"
    )
    assert len(read_roster(GOOD + bench, "mills.csv", rule_set("youth"))) == 13


def test_a_roster_without_players_or_starters_is_refused() -> None:
    assert refusal(HEADER) == (
        "mills.csv: there are no players; expected each with number and name"
    )
    assert refusal(GOOD.replace("yes", "no")) == (
        "mills.csv: there are no starters; expected 5 starters"
    )
    assert refusal(GOOD.replace("yes", "no", 1)) == (
        "mills.csv: there are only 4 starters; expected 5 starters"
    )


def test_a_file_that_can_not_be_read_is_said_so(tmp_path: Path) -> None:
    path = tmp_path / "mills.csv"
    with pytest.raises(SheetError) as refused:
        roster_at(path, rule_set("youth"))
    assert str(refused.value) == (
        f"{path}: can't be read (No such file or directory); expected a roster file"
    )
    path.write_bytes(b"number,name,starter\n4,J\xf6rg,yes\n")
    with pytest.raises(SheetError, match="is no UTF-8 text; expected a roster file"):
        roster_at(path, rule_set("youth"))
