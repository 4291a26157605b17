from __future__ import annotations

from dataclasses import replace
from hashlib import sha256

import msgpack
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tablesync.core.acts import Side
from tablesync.core.sheet import GameSheet, Official, Player, Team
from tablesync.core.tally import PerSide
from tablesync.errors import SheetError
from tablesync.sheet_bytes import MOST_BYTES, game_id, read_sheet, write_sheet
from tests.strategies import player_numbers, sides

ASH = Player("4", "Ash Wynn", starter=True)
HOME = Team("Kestrel Park", "green", "P. Oakes", (ASH,))
AWAY = Team("Brackwater", "white", "", ())
SHEET = GameSheet(
    "semi-final",
    "fiba-2024",
    "",
    PerSide(HOME, AWAY),
    court="2",
    officials=(Official("referee", "J. Holm"),),
    left=Side.AWAY,
)

words = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
players = st.builds(Player, player_numbers, words, st.booleans())
teams = st.builds(Team, words, words, words, st.lists(players, max_size=12).map(tuple))
sheets = st.builds(
    GameSheet,
    words,
    words,
    words,
    st.builds(PerSide, teams, teams),
    words,
    words,
    words,
    st.lists(st.builds(Official, words, words), max_size=4).map(tuple),
    words,
    sides,
)


def fields(**changes: object) -> list[object]:
    """The fields of a good sheet, but for the changes."""
    home = ["Kestrel Park", "green", "P. Oakes", [["4", "Ash Wynn", True]]]
    good = {
        "version": 1,
        "title": "semi-final",
        "rules": "fiba-2024",
        "rule_text": "",
        "teams": [home, ["Brackwater", "white", "", []]],
        "court": "2",
        "date": "",
        "venue": "",
        "officials": [["referee", "J. Holm"]],
        "mark": "",
        "left": "away",
    }
    assert changes.keys() <= good.keys()
    return list((good | changes).values())


def refusal(sheet: bytes) -> str:
    with pytest.raises(SheetError) as refused:
        read_sheet(sheet)
    return str(refused.value)


@given(sheets)
def test_a_sheet_is_read_back_as_it_was_written(sheet: GameSheet) -> None:
    assert read_sheet(write_sheet(sheet)) == sheet


def test_a_sheet_is_these_fields_in_this_order() -> None:
    # Version 1 of a sheet: its bytes are the game's id, so they never change.
    assert write_sheet(SHEET) == msgpack.packb(fields())


def test_the_games_id_is_the_hash_of_a_domain_and_the_bytes() -> None:
    written = write_sheet(SHEET)
    assert game_id(written) == sha256(b"tablesync sheet\x00" + written).digest()
    assert game_id(written) != game_id(write_sheet(replace(SHEET, mark="replay")))


@pytest.mark.parametrize(
    "sheet",
    [
        b"",
        b"\xc1",
        b"\x91" * 1_000 + b"\x01",
        msgpack.packb(fields())[:-1],
        msgpack.packb(fields()) + b"\x00",
        msgpack.packb({}),
        msgpack.packb([]),
        msgpack.packb([*fields(), ""]),
        msgpack.packb(fields(version=2)),
        msgpack.packb(fields(version=True)),
        msgpack.packb(fields(version=1.0)),
        msgpack.packb(fields(title=None)),
        msgpack.packb(fields(rules=b"fiba-2024")),
        msgpack.packb(fields(teams=[])),
        msgpack.packb(fields(teams=[["Kestrel Park", "green", "", []]])),
        msgpack.packb(fields(teams=[["a", "b", "c"], ["a", "b", "c"]])),
        msgpack.packb(fields(teams=[["a", "b", "c", [["4", "x", 1]]]] * 2)),
        msgpack.packb(fields(teams=[["a", "b", "c", [[4, "x", True]]]] * 2)),
        msgpack.packb(fields(teams=[["a", "b", "c", [["4", "x"]]]] * 2)),
        msgpack.packb(fields(officials=[["referee"]])),
        msgpack.packb(fields(officials=None)),
        msgpack.packb(fields(mark=7)),
        msgpack.packb(fields(left="middle")),
        msgpack.packb(fields(left=None)),
    ],
    ids=lambda sheet: ascii(sheet)[:40],
)
def test_bytes_that_are_no_sheet_are_refused(sheet: bytes) -> None:
    assert refusal(sheet) == (
        "the game sheet: its bytes can't be read; expected version 1"
    )


@given(st.binary(max_size=60))
def test_bytes_from_anywhere_are_refused_by_an_error_of_ours(data: bytes) -> None:
    refusal(data)


def test_a_sheet_that_no_frame_could_hold_is_neither_written_nor_read() -> None:
    sentence = f"the game sheet: it takes {{}} bytes; expected at most {MOST_BYTES}"
    with pytest.raises(SheetError) as refused:
        write_sheet(replace(SHEET, rule_text="r" * MOST_BYTES))
    assert str(refused.value).startswith("the game sheet: it takes ")
    assert refusal(bytes(MOST_BYTES + 1)) == sentence.format(MOST_BYTES + 1)


def test_text_that_no_bytes_can_hold_is_refused() -> None:
    with pytest.raises(SheetError, match="a text is damaged; expected UTF-8"):
        write_sheet(replace(SHEET, venue="half a character: \ud83c"))
