"""A game is the same for every holder, however its entries arrive."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tablesync.core.acts import Basket, EntryId, OpenPeriod, Points, Seat, Side
from tablesync.core.findings import Cause, CheckEvent, Cleared, Raised
from tablesync.core.game import Game
from tablesync.core.tally import PerSide
from tablesync.core.vector_clock import VectorClock
from tablesync.final import final_of
from tablesync.scenario import Scenario, read_scenario
from tablesync.seal import DeviceKey, Pen
from tests.entering import KEYS, Entered, entered

MISSED = read_scenario(Path("scenarios/basket-missed-on-the-board.jsonl"))
CANCEL = read_scenario(Path("scenarios/slips-that-cancel.jsonl"))

APART = 10**9
"""A delay of messages beyond the end of any game."""


def new_game(scenario: Scenario, made: Entered) -> Game:
    return Game(scenario.sheet, scenario.rules, made.game)


def heard_both(game: Game, time_ms: int) -> None:
    for seat in (Seat.BOOK, Seat.CLOCK):
        last = EntryId(KEYS[seat].device, game.history.have()[KEYS[seat].device])
        game.hear(seat, last, time_ms)


def concluded(scenario: Scenario, made: Entered) -> Game:
    game = new_game(scenario, made)
    for entry in made.entries:
        game.receive(entry)
    game.conclude()
    return game


def test_nothing_is_judged_before_both_seats_have_been_heard() -> None:
    made = entered(MISSED, APART)
    game = new_game(MISSED, made)
    for entry in made.entries:
        if entry.seat is Seat.BOOK:
            game.receive(entry)
            assert game.advance() == ()
    assert game.horizon_ms == 0
    assert game.open_findings() == ()
    assert game.tally(Seat.BOOK).score != game.tally(Seat.CLOCK).score


def test_nothing_is_raised_while_a_seat_is_cut_off_and_all_is_found_after() -> None:
    made = entered(CANCEL, APART)
    game = new_game(CANCEL, made)
    cut_at = 60_000
    late = []
    for entry in made.entries:
        if entry.seat is Seat.CLOCK and entry.table_time_ms > cut_at:
            late.append(entry)
            continue
        game.receive(entry)
        assert game.advance() == ()
    assert game.horizon_ms <= cut_at
    for entry in late:
        game.receive(entry)
    game.conclude()
    causes = [finding.cause for finding in game.open_findings()]
    assert causes == [Cause.ONLY_IN_BOOK, Cause.ONLY_ON_BOARD]


def test_a_device_that_was_heard_late_completes_only_what_is_held() -> None:
    made = entered(MISSED)
    game = new_game(MISSED, made)
    first = {Seat.BOOK, Seat.CLOCK}
    for entry in made.entries:
        if entry.seat in first:
            first.remove(entry.seat)
            game.receive(entry)
    game.advance()
    before = game.horizon_ms
    for seat in (Seat.BOOK, Seat.CLOCK):
        game.hear(seat, EntryId(KEYS[seat].device, 3), 90_000)
    game.advance()
    assert game.horizon_ms == before


def test_a_finding_is_raised_at_the_same_moment_in_small_steps_and_at_one_go() -> None:
    made = entered(MISSED)
    game = new_game(MISSED, made)
    told: list[CheckEvent] = []
    entries = list(made.entries)
    for now_ms in range(0, entries[-1].table_time_ms + 60_000, 500):
        while entries and entries[0].table_time_ms <= now_ms:
            game.receive(entries.pop(0))
        heard_both(game, now_ms)
        told += game.advance()
    at_one_go = new_game(MISSED, made)
    for entry in made.entries:
        at_one_go.receive(entry)
    told_at_once = at_one_go.conclude()
    assert [type(event) for event in told][:2] == [Raised, Cleared]
    assert tuple(told) == told_at_once


@pytest.mark.parametrize("most_ms", [1, 2_000, 60_000])
@pytest.mark.parametrize("scenario", [MISSED, CANCEL], ids=["missed", "cancel"])
def test_check_comes_to_the_same_piece_by_piece_and_at_one_go(
    scenario: Scenario, most_ms: int
) -> None:
    made = entered(scenario)
    at_one_go, piecemeal = new_game(scenario, made), new_game(scenario, made)
    for game in (at_one_go, piecemeal):
        for entry in made.entries:
            game.receive(entry)
        heard_both(game, made.entries[-1].table_time_ms + 60_000)
    told_at_once = at_one_go.advance()
    told = list(piecemeal.advance(most_ms))
    pieces = 1
    while piecemeal.is_behind:
        told += piecemeal.advance(most_ms)
        pieces += 1
    assert pieces > 1
    assert tuple(told) == told_at_once
    assert piecemeal.horizon_ms == at_one_go.horizon_ms
    assert not at_one_go.is_behind


@given(st.randoms(use_true_random=False))
@pytest.mark.parametrize("scenario", [MISSED, CANCEL], ids=["missed", "cancel"])
def test_any_order_of_arrival_gives_the_same_game(
    scenario: Scenario, random: object
) -> None:
    made = entered(scenario)
    expected = concluded(scenario, made)
    arrivals = [*made.entries, *made.entries[::3]]
    random.shuffle(arrivals)  # type: ignore[attr-defined]
    game = new_game(scenario, made)
    for entry in arrivals:
        game.receive(entry)
        game.advance()
    game.conclude()
    assert list(game.history) == list(expected.history)
    assert final_of(game) == final_of(expected)
    assert game.open_findings() == expected.open_findings()


def test_two_devices_at_one_seat_are_both_counted_in_the_common_order() -> None:
    made = entered(MISSED)
    game = new_game(MISSED, made)
    old = Pen(KEYS[Seat.CLOCK], Seat.CLOCK, made.game)
    new = Pen(DeviceKey(b"n" * 32), Seat.CLOCK, made.game)
    opened = old.write(OpenPeriod(1), VectorClock(), 1_000)
    late = old.write(Points(Side.HOME, 2), VectorClock(), 5_000)
    seen = VectorClock({opened.id.device: 1})
    sooner = new.write(Points(Side.HOME, 3), seen, 3_000)
    for entry in (opened, late, sooner):
        game.receive(entry)
    assert [entry.id for entry in game.history] == [opened.id, sooner.id, late.id]
    assert game.tally(Seat.CLOCK).score == PerSide(5, 0)


@given(st.randoms(use_true_random=False))
def test_a_fork_counts_alike_whichever_branch_comes_first(random: object) -> None:
    made = entered(MISSED)
    book = next(e for e in made.entries if e.seat is Seat.BOOK)
    twin = Pen(KEYS[Seat.BOOK], Seat.BOOK, made.game)
    copies = [
        twin.write(OpenPeriod(1), VectorClock(), 20_000),
        twin.write(Basket(Side.AWAY, "10", 2), VectorClock(), 48_000),
    ]
    assert copies[0].id == book.id
    third = Pen(KEYS[Seat.BOOK], Seat.BOOK, made.game)
    copies.append(third.write(OpenPeriod(1), VectorClock(), 90_000))
    arrivals = [*made.entries, *copies]
    random.shuffle(arrivals)  # type: ignore[attr-defined]
    one, other = new_game(MISSED, made), new_game(MISSED, made)
    for entry in [*made.entries, *copies]:
        one.receive(entry)
    for entry in arrivals:
        other.receive(entry)
        other.advance()
    for game in (one, other):
        game.conclude()
    assert len(one.history.forks()) > 0
    assert final_of(one) == final_of(other)
    assert one.open_findings() == other.open_findings()


def two_timers(made: Entered) -> tuple[Pen, Pen]:
    """The clock seat's pen, and that of a device which takes over from it."""
    old = Pen(KEYS[Seat.CLOCK], Seat.CLOCK, made.game)
    return old, Pen(DeviceKey(b"n" * 32), Seat.CLOCK, made.game)


def test_entries_that_come_in_together_are_each_counted_once() -> None:
    made = entered(MISSED)
    game = new_game(MISSED, made)
    old, new = two_timers(made)
    sooner = old.write(Points(Side.HOME, 2), VectorClock(), 3_000)
    later = old.write(Points(Side.HOME, 1), VectorClock(), 7_000)
    between = new.write(Points(Side.HOME, 3), VectorClock(), 5_000)
    game.receive(between)
    assert game.receive(later) == ()
    assert game.receive(sooner) == (sooner, later)
    assert game.tally(Seat.CLOCK).score == PerSide(6, 0)


def test_late_entry_between_the_last_one_checked_and_the_horizon_is_judged() -> None:
    made = entered(MISSED)
    _, new = two_timers(made)
    book = Pen(KEYS[Seat.BOOK], Seat.BOOK, made.game)
    basket = book.write(Basket(Side.HOME, "4", 2), VectorClock(), 1_000)
    late = new.write(Points(Side.HOME, 3), VectorClock(), 3_000)
    one, other = new_game(MISSED, made), new_game(MISSED, made)
    one.receive(basket)
    heard_both(one, 60_000)
    assert [type(event) for event in one.advance()] == [Raised]
    one.receive(late)
    one.advance()
    for entry in (late, basket):
        other.receive(entry)
    heard_both(other, 60_000)
    other.advance()
    assert one.open_findings() == other.open_findings()
    assert [f.cause for f in one.open_findings()] == [Cause.POINTS_DIFFER]
