from __future__ import annotations

from tablesync.core.acts import Charged, EntryId, Side, Substitution
from tablesync.core.book_lines import BookedFoul, PeriodMark, PlayerLine, Spell
from tablesync.core.team_page import TeamPage
from tablesync.core.vector_clock import DeviceId
from tests.scribe import MILLS

FULL, PART, NONE = PeriodMark.FULL, PeriodMark.PART, PeriodMark.NONE
FOUL = BookedFoul(EntryId(DeviceId(bytes(32)), 1), "personal", 1, 0)


def swap(on: str, off: str) -> Substitution:
    return Substitution(Side.HOME, (on,), (off,))


def marks(page: TeamPage, number: str) -> tuple[PeriodMark, ...]:
    return page.line(number).marks


def test_the_starters_are_on_court_before_anything_is_entered() -> None:
    page = TeamPage(MILLS)
    assert page.on_court == {"4", "5", "6", "7", "8"}
    assert list(page.lines) == ["4", "5", "6", "7", "8", "9", "10", "11"]


def test_whole_period_part_of_it_and_not_at_all() -> None:
    """The contract's words: full, part, none."""
    page = TeamPage(MILLS)
    page.open_period(1, 0)
    page.substitute(swap("9", "4"), 60_000)
    page.substitute_between(swap("4", "5"))
    page.open_period(2, 900_000)
    assert marks(page, "4") == (PART, FULL)
    assert marks(page, "5") == (FULL, NONE)
    assert marks(page, "9") == (PART, FULL)
    assert marks(page, "11") == (NONE, NONE)


def test_a_substitution_that_moves_nobody_leaves_the_marks() -> None:
    page = TeamPage(MILLS)
    page.open_period(1, 0)
    page.substitute(Substitution(Side.HOME, ("4",), ("11",)), 5_000)
    assert marks(page, "4") == (FULL,)
    assert marks(page, "11") == (NONE,)
    assert page.on_court == {"4", "5", "6", "7", "8"}


def test_somebody_who_is_not_on_the_sheet_has_a_line_once_entered() -> None:
    page = TeamPage(MILLS)
    page.charge(Charged.PLAYER, "33", FOUL)
    page.substitute_between(swap("44", "4"))
    page.open_period(1, 0)
    assert page.lines["33"] == PlayerLine("33", fouls=(FOUL,), marks=(NONE,))
    assert marks(page, "44") == (FULL,)


def test_a_period_opened_again_makes_parts_of_whoever_came_or_went() -> None:
    page = TeamPage(MILLS)
    page.open_period(1, 0)
    page.substitute_between(swap("9", "4"))
    page.open_period(1, 50_000)
    assert marks(page, "4") == (PART,)
    assert marks(page, "9") == (PART,)
    assert marks(page, "5") == (FULL,)
    spells = {spell.number: spell for spell in page.spells}
    assert spells["4"] == Spell("4", 1, None, 50_000)
    assert spells["9"] == Spell("9", 1, 50_000, None)
    assert spells["5"] == Spell("5", 1, None, None)


def test_spells_run_from_substitution_to_substitution_within_a_period() -> None:
    page = TeamPage(MILLS)
    page.open_period(1, 0)
    page.substitute(swap("9", "4"), 60_000)
    page.substitute(swap("4", "5"), 90_000)
    page.open_period(2, 900_000)
    of_4 = [spell for spell in page.spells if spell.number == "4"]
    assert of_4 == [
        Spell("4", 1, None, 60_000),
        Spell("4", 1, 90_000, None),
        Spell("4", 2, None, None),
    ]


def test_fouls_stand_where_they_are_charged() -> None:
    page = TeamPage(MILLS)
    page.charge(Charged.PLAYER, "4", FOUL)
    page.charge(Charged.COACH, None, FOUL)
    page.charge(Charged.BENCH, None, FOUL)
    page.charge(Charged.BENCH, None, FOUL)
    assert page.line("4").fouls == (FOUL,)
    assert list(page.coach_fouls) == [FOUL]
    assert list(page.bench_fouls) == [FOUL, FOUL]


def test_points_by_period_leave_a_period_without_any_at_nought() -> None:
    page = TeamPage(MILLS)
    page.score(3, 2)
    page.score(1, 1)
    assert page.points_by_period == (1, 0, 2)
    assert [page.points_in(period) for period in (1, 2, 3, 4)] == [1, 0, 2, 0]


def test_who_can_not_play_is_noted_with_the_period() -> None:
    page = TeamPage(MILLS)
    page.miss("11", 0)
    page.miss("4", 2)
    assert page.unavailable == {"11": 0, "4": 2}
