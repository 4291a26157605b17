from __future__ import annotations

from tablesync.core.acts import Side
from tablesync.core.sheet import GameSheet, Player, Team, shirt_order
from tablesync.core.tally import PerSide

NOUGHT = Player("0", "Ash Wynn", starter=True)
DOUBLE_NOUGHT = Player("00", "Lee Marsh", starter=False)
HOME = Team("Kestrel Park", "green", "P. Oakes", (NOUGHT, DOUBLE_NOUGHT))
AWAY = Team("Brackwater", "white", "R. Sallow", ())


def sheet(mark: str = "") -> GameSheet:
    teams = PerSide(HOME, AWAY)
    return GameSheet("semi-final", "fiba-2024", "", teams, mark=mark)


def test_a_player_is_found_by_the_number_as_it_is_on_the_shirt() -> None:
    assert HOME.player("0") is NOUGHT
    assert HOME.player("00") is DOUBLE_NOUGHT
    assert HOME.player("4") is None
    assert AWAY.player("0") is None


def test_the_table_calls_a_team_by_its_colour() -> None:
    assert sheet().colour(Side.HOME) == "green"
    assert sheet().colour(Side.AWAY) == "white"


def test_a_mark_tells_two_games_with_like_sheets_apart() -> None:
    assert sheet("morning") != sheet("evening")
    assert sheet("morning") == sheet("morning")


def test_numbers_stand_as_in_a_book() -> None:
    in_order = ["0", "00", "4", "10", "99"]
    assert sorted(["99", "10", "00", "4", "0"], key=shirt_order) == in_order
