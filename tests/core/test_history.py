from __future__ import annotations

from dataclasses import replace
from graphlib import TopologicalSorter
from itertools import combinations, permutations
from typing import TYPE_CHECKING

import pytest

from tablesync.core.acts import EntryId, Note, Seat
from tablesync.core.history import Fork, Head, History, Place
from tablesync.core.vector_clock import VectorClock
from tablesync.errors import BrokenChainError, WrongSeatError
from tablesync.seal import Pen
from tests.strategies import DEVICES, GAME, KEYS, SEATS, Desk
from tests.textbook import DIAGRAMS, Diagram

if TYPE_CHECKING:
    from collections.abc import Iterable

    from tablesync.core.entries import Entry

EVERYTHING = 1_000
A, B, C, _ = DEVICES


def desk(which: int) -> Desk:
    return Desk(f"desk {which}", KEYS[which], SEATS[which])


def history_of(entries: Iterable[Entry]) -> History:
    history = History(GAME)
    for entry in entries:
        history.add(entry)
    return history


def texts(entries: Iterable[Entry]) -> list[str]:
    return [entry.act.text for entry in entries if isinstance(entry.act, Note)]


def written_in(diagram: Diagram) -> dict[str, Entry]:
    """Every event of a textbook diagram as an entry of its process."""
    desks = {process: desk(which) for which, process in enumerate(diagram.events)}
    causes = diagram.direct_causes()
    known: dict[str, dict[bytes, Entry]] = {}
    entries: dict[str, Entry] = {}
    for event in TopologicalSorter(causes).static_order():
        writer = desks[diagram.process_of(event)]
        for cause in causes[event]:
            writer.known |= known[cause]
        entries[event] = writer.write(Note(event), table_time_ms=0)
        known[event] = dict(writer.known)
    return entries


def test_an_empty_history_holds_nothing() -> None:
    history = History(GAME)
    assert len(history) == 0
    assert list(history) == []
    assert history.have() == VectorClock()
    assert history.heads() == {}
    assert history.forks() == ()


def test_an_entry_that_knew_nothing_is_taken_in_at_once() -> None:
    entry = desk(0).write(Note("tip-off"), 1_000)
    history = History(GAME)
    assert history.add(entry) == (entry,)
    assert entry.digest in history
    assert history.holds(entry.id)
    assert history[entry.id] is entry
    assert history.have() == VectorClock({A: 1})
    assert history.heads() == {A: (Head(1, entry.digest),)}
    follows = (entry.seat, entry.seen, entry.table_time_ms, entry.link)
    place = Place(1_000, 1, entry.id, entry.digest, *follows)
    assert history.place(entry) == place
    assert history.places() == [place]
    assert history.entry_at(place) is entry


def test_an_entry_waits_for_the_entry_before_it() -> None:
    book = desk(0)
    first, second = book.write(Note("1"), 0), book.write(Note("2"), 1)
    history = History(GAME)
    assert history.add(second) == ()
    assert history.waiting() == (second,)
    assert not history.holds(second.id)
    assert second.digest not in history
    assert history.add(first) == (first, second)
    assert history.waiting() == ()


def test_an_entry_waits_for_what_its_writer_had_seen_of_others() -> None:
    book, clock = desk(0), desk(1)
    basket = book.write(Note("basket"), 0)
    book.tell(clock, EVERYTHING)
    points = clock.write(Note("points"), 1)
    history = History(GAME)
    assert history.add(points) == ()
    assert history.add(basket) == (basket, points)


def test_one_entry_can_let_in_all_that_waited_whatever_their_order() -> None:
    book, clock = desk(0), desk(1)
    for number in range(3):
        book.write(Note(f"book {number}"), number)
        book.tell(clock, EVERYTHING)
        clock.write(Note(f"clock {number}"), number)
        clock.tell(book, EVERYTHING)
    first, *others = book.known.values()
    for order in permutations(others):
        history = history_of(order)
        assert len(history) == 0
        assert history.add(first) == (first, *others)


def test_an_entry_that_comes_twice_is_taken_once() -> None:
    book = desk(0)
    first, second = book.write(Note("1"), 0), book.write(Note("2"), 1)
    history = History(GAME)
    history.add(second)
    assert history.add(second) == ()
    history.add(first)
    assert history.add(first) == ()
    assert history.add(second) == ()
    assert len(history) == 2


def test_entries_unknown_to_each_other_lie_by_table_time() -> None:
    late, early = desk(0).write(Note("late"), 9), desk(1).write(Note("early"), 2)
    assert texts(history_of([late, early])) == ["early", "late"]


def test_a_tie_goes_by_how_much_was_known_and_then_by_device() -> None:
    book, clock, third = desk(0), desk(1), desk(2)
    book.write(Note("book 1"), 5)
    book.write(Note("book 2"), 5)
    clock.write(Note("clock 1"), 5)
    third.write(Note("third 1"), 5)
    history = history_of([*book.own, *clock.own, *third.own])
    firsts = sorted([book.own[0], clock.own[0], third.own[0]], key=lambda e: e.id)
    assert list(history) == [*firsts, book.own[1]]


def test_a_clock_that_runs_behind_never_puts_an_entry_before_what_it_knew() -> None:
    book, clock = desk(0), desk(1)
    book.write(Note("basket"), 60_000)
    book.tell(clock, EVERYTHING)
    clock.write(Note("points"), 2_000)
    clock.write(Note("stop"), 3_000)
    between = desk(2).write(Note("between"), 30_000)
    history = history_of([between, *clock.known.values()])
    assert texts(history) == ["between", "basket", "points", "stop"]
    assert history.place(clock.own[1]).time_ms == 60_000


def test_the_entries_from_a_place_are_it_and_all_later_ones() -> None:
    book = desk(0)
    for number in range(4):
        book.write(Note(str(number)), number)
    history = history_of(book.own)
    assert texts(history.entries_from(history.place(book.own[2]))) == ["2", "3"]


@pytest.mark.parametrize("diagram", DIAGRAMS, ids=lambda d: d.name)
def test_entries_know_each_other_as_in_the_textbook(diagram: Diagram) -> None:
    entries = written_in(diagram)
    for event, entry in entries.items():
        vector = tuple(entry.clock[device] for device in DEVICES)
        assert vector[: len(diagram.events)] == diagram.vectors[event]
    concurrent = {
        frozenset({one, other})
        for one, other in combinations(entries, 2)
        if entries[one].is_concurrent_with(entries[other])
    }
    assert concurrent == diagram.concurrent


def test_the_cut_of_an_entry_is_its_past_in_the_figure() -> None:
    entries = written_in(DIAGRAMS[0])
    history = history_of(entries.values())
    past = set(texts(history.cut(entries["B4"].clock))) - {"B4"}
    assert past == {"A1", "A2", "B1", "B2", "B3", "C1"}


def test_two_entries_under_one_number_are_a_fork_and_both_stay() -> None:
    book = desk(0)
    start = book.write(Note("start"), 0)
    copy = book.copied("copy")
    mine, theirs = book.write(Note("mine"), 1), copy.write(Note("theirs"), 2)
    after = copy.write(Note("after"), 3)
    history = history_of([start, mine, theirs, after])
    assert texts(history) == ["start", "mine", "theirs", "after"]
    branches = tuple(sorted([mine, theirs], key=lambda entry: entry.digest))
    assert history.forks() == (Fork(EntryId(A, 2), branches),)
    assert history[EntryId(A, 2)] is branches[0]
    assert history.heads() == {A: (Head(2, mine.digest), Head(3, after.digest))}
    assert history.have() == VectorClock({A: 3})
    assert mine.is_concurrent_with(theirs)


def test_a_fork_can_begin_with_the_first_entry() -> None:
    one = desk(0).write(Note("one"), 0)
    other = desk(0).write(Note("other"), 1)
    history = history_of([other, one])
    assert [fork.id for fork in history.forks()] == [EntryId(A, 1)]
    assert texts(history) == ["one", "other"]


def test_a_holder_of_one_branch_waits_for_the_branch_that_was_seen() -> None:
    book, clock, third = desk(0), desk(1), desk(2)
    copy = book.copied("copy")
    third.write(Note("third"), 0)
    third.tell(copy, EVERYTHING)
    copy.write(Note("knows the third"), 1)
    book.write(Note("knows nobody"), 2)
    book.tell(clock, EVERYTHING)
    seen = clock.write(Note("saw nobody"), 3)
    history = history_of([*copy.known.values(), seen])
    assert history.waiting() == (seen,)
    assert history.add(book.own[0]) == (book.own[0], seen)


def test_a_fork_moves_what_may_have_known_the_branch_that_came_late() -> None:
    book, clock = desk(0), desk(1)
    copy = book.copied("copy")
    early = book.write(Note("early"), 1)
    late = copy.write(Note("late"), 50)
    book.tell(clock, EVERYTHING)
    answer = clock.write(Note("answer"), 5)
    history = history_of([early, answer])
    assert history.place(answer).time_ms == 5
    history.add(late)
    assert history.place(answer).time_ms == 50
    assert texts(history) == texts(history_of([late, early, answer]))


def test_copies_that_heard_of_their_twins_lie_alike_for_every_order() -> None:
    # Found by chance: the clocks of two branches cover equally many entries, and each
    # may have known the other's twin.
    book, clock = desk(0), desk(1)
    book_copy = book.copied("book copy")
    start = clock.write(Note("start"), 14)
    clock_copy = clock.copied("clock copy")
    clock.tell(book, EVERYTHING)
    heard = book.write(Note("heard"), 28)
    book.tell(clock, EVERYTHING)
    book.tell(clock_copy, EVERYTHING)
    answer = clock.write(Note("answer"), 29)
    more = book.write(Note("more"), 25)
    other_answer = clock_copy.write(Note("other answer"), 12)
    clock.tell(book_copy, EVERYTHING)
    twin = book_copy.write(Note("twin of heard"), 14)
    entries = (start, heard, answer, more, other_answer, twin)
    orders = {tuple(texts(history_of(order))) for order in permutations(entries)}
    assert len(orders) == 1
    assert set(orders.pop()) == set(texts(entries))


def test_an_entry_of_another_game_is_refused() -> None:
    stranger = Pen(KEYS[0], SEATS[0], bytes(32)).write(Note("?"), VectorClock(), 0)
    with pytest.raises(BrokenChainError, match="is not an entry of this game"):
        History(GAME).add(stranger)


def test_an_entry_of_another_game_is_refused_even_if_it_had_to_wait() -> None:
    pen = Pen(KEYS[0], SEATS[0], bytes(32))
    stranger = pen.write(Note("?"), VectorClock({B: 7}), 0)
    with pytest.raises(BrokenChainError, match="is not an entry of this game"):
        History(GAME).add(stranger)


def test_an_entry_that_skips_a_number_is_refused_and_named() -> None:
    first = desk(0).write(Note("1"), 0)
    pen = Pen(KEYS[0], SEATS[0], GAME)
    pen.resume(replace(first, id=EntryId(A, 2)))
    third = pen.write(Note("3"), VectorClock(), 1)
    history = history_of([first])
    with pytest.raises(BrokenChainError) as refused:
        history.add(third)
    assert str(refused.value) == f"entry {EntryId(A, 3)}: links to entry {first.id}"
    assert list(history) == [first]


def test_an_entry_that_links_to_another_device_is_refused() -> None:
    first, other = desk(0).write(Note("1"), 0), desk(1).write(Note("other"), 0)
    pen = Pen(KEYS[0], SEATS[0], GAME)
    pen.resume(replace(first, digest=other.digest))
    second = pen.write(Note("2"), VectorClock(), 1)
    with pytest.raises(BrokenChainError, match=f"links to entry {other.id}"):
        history_of([first, other]).add(second)


def test_an_entry_that_has_forgotten_what_its_device_knew_is_refused() -> None:
    book, clock = desk(0), desk(1)
    clock.write(Note("points"), 0)
    clock.tell(book, EVERYTHING)
    first = book.write(Note("basket"), 1)
    pen = Pen(KEYS[0], SEATS[0], GAME)
    pen.resume(first)
    second = pen.write(Note("forgets"), VectorClock(), 2)
    with pytest.raises(BrokenChainError, match=f"knew less than entry {first.id}"):
        history_of(book.known.values()).add(second)


def test_a_broken_entry_that_waited_is_listed_and_lets_others_pass() -> None:
    first = desk(0).write(Note("1"), 0)
    pen = Pen(KEYS[0], SEATS[0], GAME)
    pen.resume(replace(first, id=EntryId(A, 2)))
    broken = pen.write(Note("3"), VectorClock(), 1)
    history = History(GAME)
    assert history.add(broken) == ()
    assert history.add(first) == (first,)
    assert [error.entry for error in history.broken()] == [str(broken.id)]
    assert history.waiting() == ()


def test_an_entry_of_another_seat_is_not_taken_in_whichever_came_first() -> None:
    first = Pen(KEYS[0], Seat.BOOK, GAME).write(Note("1"), VectorClock(), 0)
    moved = Pen(KEYS[0], Seat.CLOCK, GAME)
    moved.resume(first)
    second = moved.write(Note("2"), VectorClock(), 1)
    in_order, other = history_of([first]), history_of([second])
    with pytest.raises(WrongSeatError, match="clock seat; its device sits at book"):
        in_order.add(second)
    assert other.add(first) == (first,)
    assert [type(error) for error in other.broken()] == [WrongSeatError]
    assert list(in_order) == list(other) == [first]


def test_an_entry_that_hides_what_its_sources_knew_is_not_taken_in() -> None:
    third, book = desk(2), desk(0)
    third.write(Note("third"), 0)
    third.tell(book, EVERYTHING)
    book.write(Note("knows the third"), 1)
    pen = Pen(KEYS[1], SEATS[1], GAME)
    liar = pen.write(Note("knows the book alone"), VectorClock({A: 1}), 2)
    history = history_of([*book.known.values(), liar])
    assert history.waiting() == (liar,)


def test_what_is_released_keeps_its_place_and_all_that_follows_from_it() -> None:
    book, clock = desk(0), desk(1)
    history = History(GAME)
    first, second = book.write(Note("1"), 1_000), book.write(Note("2"), 3_000)
    clock.known |= book.known
    knowing = clock.write(Note("3"), 2_000)
    history.add(first)
    history.add(second)
    before = list(history.places())
    history.release([first, second])
    assert history.places() == before
    assert all(map(history.is_released, before))
    assert first.digest in history
    assert history.add(first) == ()
    assert history.add(knowing) == (knowing,)
    last = history.place(knowing)
    assert last.time_ms == 3_000, "not before what it knew of"
    assert not history.is_released(last)
    assert history.entry_at(last) is knowing
    assert history.place_of(second.id) == before[1]
    assert history.places_missing_from({A: [Head(1, first.digest)]}) == (
        before[1],
        last,
    )


def test_nothing_is_missing_from_a_holder_of_the_same_heads() -> None:
    book = desk(0)
    book.write(Note("1"), 0)
    book.write(Note("2"), 1)
    history = history_of(book.own)
    assert history.missing_from(history.heads()) == ()
    assert history.missing_from({}) == tuple(book.own)
    assert history.missing_from({A: [Head(1, book.own[0].digest)]}) == (book.own[1],)


def test_a_holder_of_a_newer_head_lacks_nothing_of_that_device() -> None:
    book, clock = desk(0), desk(1)
    first, second = book.write(Note("1"), 0), book.write(Note("2"), 1)
    points = clock.write(Note("points"), 2)
    history = history_of([first, points])
    assert history.missing_from({A: [Head(2, second.digest)]}) == (points,)


def test_a_holder_on_another_branch_is_sent_the_whole_chain() -> None:
    book = desk(0)
    start = book.write(Note("start"), 0)
    copy = book.copied("copy")
    mine, theirs = book.write(Note("mine"), 1), copy.write(Note("theirs"), 2)
    history = history_of([start, mine])
    assert history.missing_from({A: [Head(2, theirs.digest)]}) == (start, mine)
