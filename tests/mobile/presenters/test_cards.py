from __future__ import annotations

from mobile.presenters.cards import Card, cards
from mobile.presenters.desk import Desk
from mobile.presenters.intents import AskPlayer, AskReason, Enter
from tablesync.core.acts import (
    Answer,
    Answered,
    Basket,
    Charged,
    Correction,
    Foul,
    LetStand,
    OpenPeriod,
    Points,
    Seat,
    Side,
    Strike,
    TeamFoul,
)
from tablesync.core.remedies import FOUND
from tests.mobile.table import FakeTable

LONG_MS = 60_000


def _missed_on_the_board() -> FakeTable:
    table = FakeTable()
    table.both(OpenPeriod(1), OpenPeriod(1))
    table.enter(Seat.BOOK, Basket(Side.AWAY, "12", 2))
    table.wait(LONG_MS)
    return table


def _missed_in_the_book() -> FakeTable:
    table = FakeTable()
    table.both(OpenPeriod(1), OpenPeriod(1))
    table.enter(Seat.CLOCK, Points(Side.AWAY, 2))
    table.wait(LONG_MS)
    return table


def _card(table: FakeTable, seat: Seat, desk: Desk | None = None) -> Card:
    (card,) = cards(table.view(seat), desk or Desk())
    return card


def _touch(table: FakeTable, seat: Seat, label: str, desk: Desk | None = None) -> Desk:
    card = _card(table, seat, desk)
    answer = next(answer for answer in card.answers if answer.label.startswith(label))
    return table.touch(seat, desk or Desk(), answer.intent)


def test_no_finding_is_no_card() -> None:
    table = FakeTable()
    table.both(OpenPeriod(1), OpenPeriod(1))
    assert cards(table.view(Seat.BOOK), Desk()) == ()


def test_a_card_gives_ones_own_value_first_and_the_sentence() -> None:
    table = _missed_on_the_board()
    assert _card(table, Seat.BOOK).head == "Blue, score: book 2, board 0"
    assert _card(table, Seat.CLOCK).head == "Blue, score: board 0, book 2"
    assert _card(table, Seat.BOOK).text == table.game.open_findings()[0].text


def test_a_seat_is_offered_only_what_changes_its_own_record() -> None:
    table = _missed_on_the_board()
    book = [answer.intent for answer in _card(table, Seat.BOOK).answers]
    clock = [answer.intent for answer in _card(table, Seat.CLOCK).answers]
    finding = table.game.open_findings()[0]
    entry = finding.entries[Seat.BOOK]
    assert entry is not None
    done = Answered(finding.id, Answer.PUT_RIGHT)
    assert book[0] == Enter((Strike(entry), done))
    placed_ms = next(one for one in table.game.history if one.id == entry).table_time_ms
    added = Correction(None, Points(Side.AWAY, 2), placed_ms, FOUND)
    assert clock[0] == Enter((added, done))


def test_the_boards_key_puts_it_right_and_the_card_is_gone() -> None:
    table = _missed_on_the_board()
    _touch(table, Seat.CLOCK, "add +2")
    assert cards(table.view(Seat.CLOCK), Desk()) == ()
    assert table.game.board.tally.score.away == 2


def test_where_the_book_lacks_it_the_card_asks_for_the_player() -> None:
    table = _missed_in_the_book()
    intent = _card(table, Seat.BOOK).answers[0].intent
    assert isinstance(intent, AskPlayer)
    assert (intent.side, intent.strikes) == (Side.AWAY, None)
    desk = table.touch(Seat.BOOK, Desk(), intent)
    table.touch(Seat.BOOK, desk, Enter((Basket(Side.AWAY, "13", 2),)))
    assert cards(table.view(Seat.BOOK), Desk()) == ()


def test_the_book_that_has_the_wrong_team_is_asked_for_the_right_player() -> None:
    table = FakeTable()
    table.both(OpenPeriod(1), OpenPeriod(1))
    table.both(Basket(Side.HOME, "4", 2), Points(Side.AWAY, 2))
    table.wait(LONG_MS)
    wrong = table.game.open_findings()[0].entries[Seat.BOOK]
    intent = _card(table, Seat.BOOK).answers[0].intent
    assert isinstance(intent, AskPlayer)
    assert (intent.side, intent.strikes) == (Side.AWAY, wrong)
    desk = table.touch(Seat.BOOK, Desk(), intent)
    table.touch(Seat.BOOK, desk, Enter((Basket(Side.AWAY, "12", 2),)))
    assert cards(table.view(Seat.BOOK), Desk()) == ()
    score = table.game.book.tally.score
    assert (score.home, score.away) == (0, 2)


def test_a_finding_that_is_held_is_on_record_and_says_so() -> None:
    table = _missed_on_the_board()
    _touch(table, Seat.BOOK, "hold")
    finding = table.game.open_findings()[0]
    newest = next(reversed(table.game.book.record))
    assert newest.act == Answered(finding.id, Answer.HELD)
    card = _card(table, Seat.BOOK)
    assert card.status == "held for the referee"
    assert "hold for the referee" not in [answer.label for answer in card.answers]
    assert _card(table, Seat.CLOCK).status == ""


def test_letting_stand_asks_for_the_reason_and_needs_both() -> None:
    table = _missed_on_the_board()
    desk = _touch(table, Seat.BOOK, "let it stand")
    assert desk.reason_for == table.game.open_findings()[0].id
    _touch(table, Seat.BOOK, "the referee has ruled", desk)
    assert _card(table, Seat.BOOK).status.startswith("you let it stand")
    partner = _card(table, Seat.CLOCK)
    assert partner.status == "the book seat lets it stand: the referee has ruled"
    desk = _touch(table, Seat.CLOCK, "let it stand")
    _touch(table, Seat.CLOCK, "we both", desk)
    assert cards(table.view(Seat.BOOK), Desk()) == ()


def test_who_has_let_it_stand_is_not_asked_again() -> None:
    table = _missed_on_the_board()
    finding = table.game.open_findings()[0].id
    table.enter(Seat.BOOK, LetStand(finding, "we both know of it"))
    intents = [answer.intent for answer in _card(table, Seat.BOOK).answers]
    assert AskReason(finding) not in intents


def test_what_has_been_answered_stands_behind_what_has_not() -> None:
    table = _missed_on_the_board()
    table.enter(Seat.BOOK, Basket(Side.HOME, "4", 3))
    table.wait(LONG_MS)
    first, second = cards(table.view(Seat.BOOK), Desk())
    assert (first.place, second.place) == ("1/2", "2/2")
    table.enter(Seat.BOOK, Answered(first.subject, Answer.HELD))
    assert [card.subject for card in cards(table.view(Seat.BOOK), Desk())] == [
        second.subject,
        first.subject,
    ]


def _subs(table: FakeTable, count: int) -> None:
    """Points for players who are not on court: each is for the scorer to look at."""
    for _ in range(count):
        table.both(Basket(Side.HOME, "9", 2), Points(Side.HOME, 2))


def test_what_the_scorer_is_to_look_at_again_is_seen_singly_or_all_at_once() -> None:
    table = FakeTable()
    table.both(OpenPeriod(1), OpenPeriod(1))
    _subs(table, 1)
    (card,) = cards(table.view(Seat.BOOK), Desk())
    assert [answer.label for answer in card.answers] == ["seen"]
    _subs(table, 3)
    first, *others = cards(table.view(Seat.BOOK), Desk())
    assert len(others) == 3
    assert [answer.label for answer in first.answers] == ["seen", "all seen"]
    table.touch(Seat.BOOK, Desk(), first.answers[1].intent)
    assert cards(table.view(Seat.BOOK), Desk()) == ()


def test_what_the_referees_must_be_told_stays_until_it_was_told() -> None:
    table = FakeTable()
    table.both(OpenPeriod(1), OpenPeriod(1))
    foul = Foul(Side.HOME, "4", Charged.PLAYER, "personal")
    for _ in range(5):
        table.both(foul, TeamFoul(Side.HOME))
    told = []
    while shown := cards(table.view(Seat.BOOK), Desk()):
        told.append(shown[0].text)
        table.touch(Seat.BOOK, Desk(), shown[0].answers[0].intent)
    assert any("White 4 is out" in text for text in told)
    assert cards(table.view(Seat.CLOCK), Desk()) == ()


def test_a_struck_entry_takes_its_notice_with_it() -> None:
    table = FakeTable()
    table.both(OpenPeriod(1), OpenPeriod(1))
    wrong = table.enter(Seat.BOOK, Basket(Side.HOME, "9", 2))
    assert cards(table.view(Seat.BOOK), Desk())
    table.enter(Seat.BOOK, Strike(wrong.id))
    assert cards(table.view(Seat.BOOK), Desk()) == ()
