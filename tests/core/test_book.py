from __future__ import annotations

from tablesync.core.acts import (
    Act,
    Arrow,
    Basket,
    Charged,
    ClosePeriod,
    Correction,
    Foul,
    FreeThrow,
    OpenPeriod,
    OwnBasket,
    Seat,
    Side,
    Strike,
    Substitution,
    TimeOut,
    TimeOutLength,
    Unavailable,
)
from tablesync.core.book import Book
from tablesync.core.book_lines import PeriodMark
from tablesync.core.rulesets import rule_set
from tablesync.core.tally import PerSide
from tests.scribe import SHEET, Scribe

FIBA, NFHS = rule_set("fiba-2024"), rule_set("nfhs-2023")
HOME, AWAY = Side.HOME, Side.AWAY
PERSONAL = Foul(HOME, "4", Charged.PLAYER, "personal")


class Desk:
    """A book and the scorer who keeps it."""

    def __init__(self, *acts: Act) -> None:
        self.scribe = Scribe(Seat.BOOK)
        self.book = Book(SHEET, FIBA)
        self.enter(*acts)

    def enter(self, *acts: Act) -> None:
        for act in acts:
            self.last = self.scribe.enter(act)
            self.book.apply(self.last)


def test_the_running_score_says_who_scored_and_what_it_made() -> None:
    book = Desk(
        OpenPeriod(1),
        Basket(HOME, "4", 2),
        Basket(AWAY, "00", 3),
        FreeThrow(HOME, "4", made=False),
        FreeThrow(HOME, "4", made=True),
    ).book
    assert [(s.side, s.number, s.points, s.total) for s in book.running_score] == [
        (HOME, "4", 2, 2),
        (AWAY, "00", 3, 3),
        (HOME, "4", 1, 3),
    ]
    assert book.tally.score == PerSide(3, 3)
    line = book.pages[HOME].lines["4"]
    assert (line.points, line.goals2, line.goals3) == (3, 1, 0)
    assert (line.ft_made, line.ft_attempted) == (1, 2)
    assert book.pages[AWAY].lines["00"].points == 3
    assert book.pages[AWAY].lines["0"].points == 0


def test_a_number_that_is_not_on_the_sheet_is_recorded_all_the_same() -> None:
    book = Desk(OpenPeriod(1), Basket(HOME, "99", 2)).book
    assert book.tally.score[HOME] == 2
    assert book.pages[HOME].lines["99"].goals2 == 1


def test_points_between_periods_belong_to_the_one_just_ended() -> None:
    book = Desk(OpenPeriod(1), ClosePeriod(1), Basket(HOME, "4", 2)).book
    assert book.pages[HOME].points_by_period == (2,)
    assert book.running_score[0].period == 1


def test_free_throws_for_a_foul_between_periods_belong_to_the_next() -> None:
    desk = Desk(OpenPeriod(1), ClosePeriod(1), PERSONAL)
    desk.enter(FreeThrow(AWAY, "12", made=True), FreeThrow(HOME, "5", made=True))
    assert desk.book.pages[AWAY].points_by_period == (0, 1)
    assert desk.book.pages[HOME].points_by_period == (1,)
    assert desk.book.tally.fouls_in(2, HOME) == 1
    desk.enter(OpenPeriod(2), ClosePeriod(2), FreeThrow(AWAY, "12", made=True))
    assert desk.book.pages[AWAY].points_by_period == (0, 2)


def test_time_outs_stand_with_their_period_and_length() -> None:
    page = Desk(
        OpenPeriod(1), OpenPeriod(2), TimeOut(HOME, TimeOutLength.SHORT)
    ).book.pages[HOME]
    assert [(t.period, t.length) for t in page.time_outs] == [(2, TimeOutLength.SHORT)]


def test_a_substitution_between_periods_changes_who_starts() -> None:
    book = Desk(
        OpenPeriod(1),
        ClosePeriod(1),
        Substitution(HOME, ("9",), ("4",)),
        OpenPeriod(2),
        Substitution(HOME, ("10",), ("5",)),
    ).book
    page = book.pages[HOME]
    assert page.on_court == {"9", "6", "7", "8", "10"}
    full, part, none = PeriodMark.FULL, PeriodMark.PART, PeriodMark.NONE
    assert page.lines["4"].marks == (full, none)
    assert page.lines["9"].marks == (none, full)
    assert page.lines["5"].marks == (full, part)
    assert page.lines["10"].marks == (none, part)


def test_a_goal_into_the_own_basket_is_no_players() -> None:
    """NFHS 5-2-3: credited to no player, mentioned in a footnote."""
    book = Desk(OpenPeriod(1), OwnBasket(HOME, 2)).book
    assert book.tally.score == PerSide(2, 0)
    assert sum(line.points for line in book.pages[HOME].lines.values()) == 0
    assert book.running_score[0].number is None


def test_a_strike_renumbers_the_running_score() -> None:
    desk = Desk(OpenPeriod(1), Basket(HOME, "4", 2))
    wrong = desk.last
    desk.enter(Basket(HOME, "5", 3), Strike(wrong.id))
    assert [(s.number, s.total) for s in desk.book.running_score] == [("5", 3)]
    assert desk.book.pages[HOME].lines["4"].points == 0
    assert len(desk.book.record) == 4


def test_a_late_act_renumbers_and_lands_in_its_own_period() -> None:
    desk = Desk(OpenPeriod(1), Basket(HOME, "4", 2), ClosePeriod(1), OpenPeriod(2))
    desk.enter(Basket(HOME, "5", 3))
    desk.enter(Correction(None, Basket(HOME, "6", 2), 2_500, "left out"))
    assert [(s.number, s.period, s.total) for s in desk.book.running_score] == [
        ("4", 1, 2),
        ("6", 1, 4),
        ("5", 2, 7),
    ]
    assert desk.book.pages[HOME].points_by_period == (4, 3)


def test_arrow_and_absence_are_kept() -> None:
    book = Desk(Unavailable(HOME, "11", "not here"), OpenPeriod(1), Arrow(AWAY)).book
    assert book.tally.arrow is AWAY
    assert book.pages[HOME].unavailable == {"11": 0}
    assert book.periods.is_open


def test_the_arrow_is_turned_in_the_period_that_is_open_or_to_come() -> None:
    desk = Desk(OpenPeriod(1))
    assert desk.book.arrow_turned_in == 0
    desk.enter(Arrow(HOME))
    assert desk.book.arrow_turned_in == 1
    desk.enter(ClosePeriod(1), Arrow(AWAY))
    assert desk.book.arrow_turned_in == 2
