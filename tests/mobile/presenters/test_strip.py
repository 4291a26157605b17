from __future__ import annotations

from typing import TYPE_CHECKING

from mobile.presenters.strip import Agreement, Cell, strip
from tablesync.core.acts import (
    Arrow,
    Basket,
    Charged,
    Foul,
    OpenPeriod,
    Points,
    Seat,
    Side,
    TeamFoul,
)
from tablesync.core.tally import Item
from tests.mobile.table import FakeTable

if TYPE_CHECKING:
    from mobile.presenters.seat_view import SeatView

LONG_MS = 60_000
"""Longer than any partner takes."""


def _opened() -> FakeTable:
    table = FakeTable()
    table.both(OpenPeriod(1), OpenPeriod(1))
    return table


def _cell(view: SeatView, item: Item, side: Side | None = None) -> Cell:
    return next(c for c in strip(view).cells if (c.item, c.side) == (item, side))


def test_equal_records_agree_in_every_item() -> None:
    table = _opened()
    table.both(Basket(Side.HOME, "4", 2), Points(Side.HOME, 2))
    cells = strip(table.view(Seat.BOOK)).cells
    assert {cell.state for cell in cells} == {Agreement.AGREED}
    assert {cell.words for cell in cells} == {"agreed"}


def test_an_act_without_its_like_is_settling_and_says_who_is_awaited_how_long() -> None:
    table = _opened()
    table.enter(Seat.BOOK, Basket(Side.HOME, "4", 2))
    table.wait(3_400)
    mine = _cell(table.view(Seat.BOOK), Item.SCORE, Side.HOME)
    assert (mine.mine, mine.theirs) == ("2", "0")
    assert (mine.state, mine.words) == (Agreement.SETTLING, "board to come, 3 s")
    theirs = _cell(table.view(Seat.CLOCK), Item.SCORE, Side.HOME)
    assert (theirs.mine, theirs.theirs) == ("0", "2")
    assert (theirs.state, theirs.words) == (Agreement.SETTLING, "yours to come, 3 s")


def test_a_finding_is_a_mismatch_that_says_who_lacks_how_much() -> None:
    table = _opened()
    table.enter(Seat.BOOK, Basket(Side.AWAY, "12", 3))
    table.wait(LONG_MS)
    book = _cell(table.view(Seat.BOOK), Item.SCORE, Side.AWAY)
    clock = _cell(table.view(Seat.CLOCK), Item.SCORE, Side.AWAY)
    assert (book.state, book.words) == (Agreement.MISMATCH, "board lacks 3")
    assert (clock.state, clock.words) == (Agreement.MISMATCH, "yours lacks 3")


def test_an_act_given_to_the_wrong_team_is_a_mismatch_on_both_sides() -> None:
    table = _opened()
    table.both(Basket(Side.HOME, "4", 2), Points(Side.AWAY, 2))
    table.wait(LONG_MS)
    view = table.view(Seat.BOOK)
    assert _cell(view, Item.SCORE, Side.HOME).state is Agreement.MISMATCH
    assert _cell(view, Item.SCORE, Side.AWAY).state is Agreement.MISMATCH


def test_nothing_is_said_to_agree_or_differ_while_the_partner_is_silent() -> None:
    table = _opened()
    view = table.view(Seat.BOOK, silent_ms=12_300)
    shown = strip(view)
    assert {cell.state for cell in shown.cells} == {Agreement.UNHEARD}
    assert shown.partner.words == "silent for 12 s"
    assert not shown.partner.in_touch


def test_a_finding_stays_a_mismatch_while_the_partner_is_silent() -> None:
    table = _opened()
    table.enter(Seat.BOOK, Basket(Side.AWAY, "12", 3))
    table.wait(LONG_MS)
    view = table.view(Seat.BOOK, silent_ms=5_000)
    assert _cell(view, Item.SCORE, Side.AWAY).state is Agreement.MISMATCH


def test_silence_shows_before_two_seconds_and_not_after_one_missed_beat() -> None:
    table = _opened()
    assert strip(table.view(Seat.BOOK, silent_ms=1_300)).partner.in_touch
    assert not strip(table.view(Seat.BOOK, silent_ms=1_950)).partner.in_touch


def test_a_partner_never_heard_is_said_to_be_so() -> None:
    shown = strip(FakeTable().view(Seat.CLOCK, silent_ms=None))
    assert shown.partner.words == "not heard yet"
    assert shown.partner.name == "book seat"


def test_team_fouls_are_those_that_count_together_now() -> None:
    table = _opened()
    foul = Foul(Side.HOME, "5", Charged.PLAYER, "personal")
    table.both(foul, TeamFoul(Side.HOME))
    assert _cell(table.view(Seat.BOOK), Item.TEAM_FOULS, Side.HOME).mine == "1"
    table.both(OpenPeriod(2), OpenPeriod(2))
    assert _cell(table.view(Seat.BOOK), Item.TEAM_FOULS, Side.HOME).mine == "0"


def test_cells_stand_as_the_benches_do_and_titles_name_the_colours() -> None:
    table = _opened()
    left = [c.title for c in strip(table.view(Seat.BOOK, left=Side.AWAY)).cells]
    assert left[:2] == ["score blue", "score white"]


def test_the_arrow_is_shown_by_the_colour_it_points_to() -> None:
    table = _opened()
    assert _cell(table.view(Seat.BOOK), Item.ARROW).mine == "-"
    table.both(Arrow(Side.AWAY), Arrow(Side.AWAY))
    assert _cell(table.view(Seat.BOOK), Item.ARROW).mine == "blue"
