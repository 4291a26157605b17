"""What holds of every book, whatever is entered."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hypothesis import given
from hypothesis import strategies as st

from tablesync.core.acts import (
    Act,
    Arrow,
    Basket,
    Charged,
    ClosePeriod,
    Foul,
    FreeThrow,
    OpenPeriod,
    Points,
    Seat,
    Side,
    Strike,
    Substitution,
    TeamFoul,
    TimeOut,
    TimeOutLength,
)
from tablesync.core.board import Board
from tablesync.core.book import Book
from tablesync.core.rulesets import RULE_SETS
from tests.scribe import SHEET, Scribe

if TYPE_CHECKING:
    from tablesync.core.rules import RuleSet

sides = st.sampled_from(Side)
numbers = st.sampled_from(["4", "5", "9", "99"])
ACTS: st.SearchStrategy[Act] = st.one_of(
    st.builds(Basket, sides, numbers, st.sampled_from([2, 3])),
    st.builds(FreeThrow, sides, numbers, st.booleans()),
    st.builds(Foul, sides, numbers, st.just(Charged.PLAYER), st.just("personal")),
    st.builds(Foul, sides, st.none(), st.just(Charged.COACH), st.just("technical")),
    st.builds(TimeOut, sides, st.sampled_from(TimeOutLength)),
    st.builds(Arrow, sides),
    st.builds(OpenPeriod, st.integers(1, 6)),
    st.builds(ClosePeriod, st.integers(1, 6)),
    st.builds(
        lambda side, on, off: Substitution(side, (on,), (off,)),
        sides,
        st.sampled_from(["9", "10"]),
        st.sampled_from(["4", "5"]),
    ),
)
rules = st.sampled_from(list(RULE_SETS.values()))


def written(acts: list[Act], strikes: list[int]) -> tuple[Book, list[Act]]:
    """A book of the acts in which those at the places named are struck out."""
    scribe, book = Scribe(Seat.BOOK), Book(SHEET, RULE_SETS["fiba-2024"])
    entries = [scribe.enter(act) for act in acts]
    for entry in entries:
        book.apply(entry)
    out = {place for place in strikes if place < len(acts)}
    for place in out:
        book.apply(scribe.enter(Strike(entries[place].id)))
    return book, [act for place, act in enumerate(acts) if place not in out]


@given(st.lists(ACTS, max_size=30), st.lists(st.integers(0, 29), max_size=5))
def test_a_struck_entry_might_as_well_never_have_been(
    acts: list[Act], strikes: list[int]
) -> None:
    struck, left = written(acts, strikes)
    plain, _ = written(left, [])
    assert struck.tally == plain.tally
    for side, page in struck.pages:
        other = plain.pages[side]
        assert {n: (x.points, x.marks) for n, x in page.lines.items()} == {
            n: (x.points, x.marks) for n, x in other.lines.items()
        }
        assert page.on_court == other.on_court
    assert [s.total for s in struck.running_score] == [
        s.total for s in plain.running_score
    ]


@given(st.lists(ACTS, max_size=40))
def test_players_periods_and_running_score_add_up_to_the_score(acts: list[Act]) -> None:
    book, _ = written(acts, [])
    for side, page in book.pages:
        score = book.tally.score[side]
        assert sum(line.points for line in page.lines.values()) == score
        assert sum(page.points_by_period) == score
        assert sum(s.points for s in book.running_score if s.side is side) == score


@given(st.lists(ACTS, max_size=40), rules)
def test_a_board_kept_without_a_slip_has_the_books_tally(
    acts: list[Act], chosen: RuleSet
) -> None:
    book, board = Book(SHEET, chosen), Board(chosen)
    scorer, timer = Scribe(Seat.BOOK), Scribe(Seat.CLOCK)
    for act in acts:
        book.apply(scorer.enter(act))
        match act:
            case Basket(side=side, points=points):
                board.apply(timer.enter(Points(side, points)))
            case FreeThrow(side=side, made=True):
                board.apply(timer.enter(Points(side, 1)))
            case Foul(side=side) if chosen.is_team_foul(act):
                board.apply(timer.enter(TeamFoul(side)))
            case TimeOut() | Arrow() | OpenPeriod() | ClosePeriod():
                board.apply(timer.enter(act))
            case _:
                pass
    assert board.tally == book.tally
