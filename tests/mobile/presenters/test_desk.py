from __future__ import annotations

from mobile.presenters.desk import Desk, touched
from mobile.presenters.intents import (
    Amend,
    AskPlayer,
    AskReason,
    Back,
    BeginSubstitution,
    ChooseKind,
    Enter,
    FoulPlace,
    Page,
    Pick,
    Rows,
    ShowRows,
    ShowTeam,
    Substitute,
    TurnTo,
    TypeDigit,
    Untype,
)
from tablesync.core.acts import (
    Answer,
    Answered,
    Basket,
    Charged,
    Correction,
    Foul,
    LetStand,
    OpenPeriod,
    Seat,
    Side,
    Strike,
    Substitution,
)
from tablesync.core.remedies import FOUND
from tests.mobile.table import FakeTable

GOAL = Basket(Side.HOME, "4", 2)


def _acts(table: FakeTable, desk: Desk, intent: object) -> tuple[object, ...]:
    return touched(desk, intent, table.game.book.pages).acts  # type: ignore[arg-type]


def test_an_act_is_entered_with_one_touch() -> None:
    assert _acts(FakeTable(), Desk(), Enter((GOAL,))) == (GOAL,)


def test_one_who_goes_off_and_one_who_goes_on_are_a_substitution_at_once() -> None:
    table = FakeTable()
    desk = table.touch(Seat.BOOK, Desk(), BeginSubstitution(Side.HOME, "4"))
    assert (desk.moving, desk.picked) == (Side.HOME, ("4",))
    acts = _acts(table, desk, Pick(Side.HOME, "9"))
    assert acts == (Substitution(Side.HOME, ("9",), ("4",)),)


def test_several_go_off_and_on_in_one_substitution() -> None:
    table = FakeTable()
    desk = table.touch(
        Seat.BOOK,
        Desk(),
        BeginSubstitution(Side.HOME, "4"),
        Pick(Side.HOME, "5"),
        Pick(Side.HOME, "9"),
    )
    acts = _acts(table, desk, Pick(Side.HOME, "10"))
    assert acts == (Substitution(Side.HOME, ("9", "10"), ("4", "5")),)


def test_who_goes_on_can_be_picked_first() -> None:
    table = FakeTable()
    desk = table.touch(
        Seat.BOOK, Desk(), BeginSubstitution(Side.HOME), Pick(Side.HOME, "9")
    )
    acts = _acts(table, desk, Pick(Side.HOME, "4"))
    assert acts == (Substitution(Side.HOME, ("9",), ("4",)),)


def test_a_pick_is_taken_back_by_a_second_touch() -> None:
    table = FakeTable()
    desk = table.touch(
        Seat.BOOK, Desk(), BeginSubstitution(Side.HOME, "4"), Pick(Side.HOME, "4")
    )
    assert desk.picked == ()


def test_an_uneven_substitution_is_entered_when_asked_for() -> None:
    table = FakeTable()
    desk = table.touch(Seat.BOOK, Desk(), BeginSubstitution(Side.HOME, "4"))
    step = touched(desk, Substitute(Side.HOME), table.game.book.pages)
    assert step.acts == (Substitution(Side.HOME, (), ("4",)),)
    assert step.desk.moving is None


def test_a_substitution_of_nobody_enters_nothing() -> None:
    table = FakeTable()
    desk = table.touch(Seat.BOOK, Desk(), BeginSubstitution(Side.HOME))
    assert _acts(table, desk, Substitute(Side.HOME)) == ()


def test_picks_of_one_team_are_gone_when_the_other_is_begun() -> None:
    table = FakeTable()
    desk = table.touch(
        Seat.BOOK,
        Desk(),
        BeginSubstitution(Side.HOME, "4"),
        BeginSubstitution(Side.AWAY, "12"),
    )
    assert (desk.moving, desk.picked) == (Side.AWAY, ("12",))


def test_amending_strikes_the_entry_out_with_the_act_that_replaces_it() -> None:
    table = FakeTable()
    wrong = table.enter(Seat.BOOK, OpenPeriod(1), GOAL)
    desk = table.touch(Seat.BOOK, Desk(), Amend(wrong.id))
    right = Basket(Side.HOME, "5", 2)
    step = touched(desk, Enter((right,)), table.game.book.pages)
    assert step.acts == (Strike(wrong.id), right)
    assert step.desk.replacing is None


def test_amending_can_be_left_without_a_trace() -> None:
    table = FakeTable()
    wrong = table.enter(Seat.BOOK, OpenPeriod(1), GOAL)
    desk = table.touch(Seat.BOOK, Desk(), Amend(wrong.id), Back())
    assert desk == Desk()
    assert _acts(table, desk, Enter((GOAL,))) == (GOAL,)


def test_a_cards_own_answer_does_not_replace_what_is_being_amended() -> None:
    table = FakeTable()
    wrong = table.enter(Seat.BOOK, OpenPeriod(1), GOAL)
    desk = table.touch(Seat.BOOK, Desk(), Amend(wrong.id))
    stand = LetStand("00", "the referee has ruled")
    step = touched(desk, Enter((stand,)), table.game.book.pages)
    assert step.acts == (stand,)
    assert step.desk.replacing == wrong.id


def test_an_act_whose_player_is_asked_for_takes_the_place_of_the_wrong_one() -> None:
    table = FakeTable()
    wrong = table.enter(Seat.BOOK, OpenPeriod(1), GOAL)
    ask = AskPlayer(
        Side.AWAY, "make it +2 Tidegate", strikes=wrong.id, finding="f1", at_ms=None
    )
    desk = table.touch(Seat.BOOK, Desk(), ask)
    assert (desk.team, desk.asked) == (Side.AWAY, ask)
    right = Basket(Side.AWAY, "12", 2)
    acts = _acts(table, desk, Enter((right,)))
    assert acts == (Strike(wrong.id), right, Answered("f1", Answer.PUT_RIGHT))


def test_finding_that_is_put_right_by_a_late_entry_is_answered_by_it() -> None:
    table = FakeTable()
    ask = AskPlayer(
        Side.AWAY, "add +2 Tidegate", strikes=None, finding="f1", at_ms=9_000
    )
    desk = table.touch(Seat.BOOK, Desk(), ask)
    right = Basket(Side.AWAY, "12", 2)
    acts = _acts(table, desk, Enter((right,)))
    added = Correction(None, right, 9_000, FOUND)
    assert acts == (added, Answered("f1", Answer.PUT_RIGHT))
    step = touched(desk, Enter((right,)), table.game.book.pages)
    assert touched(step.desk, Enter((right,)), table.game.book.pages).acts == (right,)


def test_choosing_a_kind_ends_with_the_foul() -> None:
    table = FakeTable()
    place = FoulPlace(Side.HOME, "4", Charged.PLAYER)
    desk = table.touch(Seat.BOOK, Desk(), ChooseKind(place))
    assert desk.kind_of == place
    foul = Foul(Side.HOME, "4", Charged.PLAYER, "technical")
    step = touched(desk, Enter((foul,)), table.game.book.pages)
    assert (step.acts, step.desk.kind_of) == ((foul,), None)


def test_bench_keys_go_back_to_the_court_after_one_entry() -> None:
    table = FakeTable()
    desk = table.touch(Seat.BOOK, Desk(), ShowRows(Side.HOME, Rows.BENCH))
    assert desk.rows[Side.HOME] is Rows.BENCH
    step = touched(desk, Enter((Basket(Side.HOME, "9", 2),)), table.game.book.pages)
    assert step.desk.rows[Side.HOME] is Rows.COURT


def test_pages_and_teams_turn_and_back_leads_to_play() -> None:
    table = FakeTable()
    desk = table.touch(Seat.BOOK, Desk(), ShowTeam(Side.AWAY), TurnTo(Page.ENTRIES))
    assert (desk.page, desk.team) == (Page.ENTRIES, Side.AWAY)
    assert table.touch(Seat.BOOK, desk, Back()) == Desk(team=Side.AWAY)


def test_a_reason_is_asked_for_until_it_is_given() -> None:
    table = FakeTable()
    desk = table.touch(Seat.BOOK, Desk(), AskReason("00"))
    assert desk.reason_for == "00"
    stand = Enter((LetStand("00", "both know"),))
    assert table.touch(Seat.BOOK, desk, stand).reason_for is None


def test_the_number_pad_takes_digits_back_and_no_more_than_fit() -> None:
    desk = FakeTable().touch(Seat.CLOCK, Desk(), *map(TypeDigit, "0123456"))
    assert desk.digits == "12345"
    assert FakeTable().touch(Seat.CLOCK, desk, Untype()).digits == "1234"
