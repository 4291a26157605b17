"""A replay shows at any moment what a fresh start from the same entries shows."""

from __future__ import annotations

from pathlib import Path

import networkx as nx
import pytest
from hypothesis import given

from tablesync.core.acts import EntryId, Note, Seat
from tablesync.core.findings import Cause, Cleared, Raised
from tablesync.core.game import Game
from tablesync.core.game_clock import ClockReading
from tablesync.core.history import History
from tablesync.core.tally import EMPTY_TALLY
from tablesync.core.vector_clock import DeviceId, VectorClock
from tablesync.replay.replay import EntryStep, FindingStep, Moment, Received, Replay
from tablesync.scenario import read_scenario
from tablesync.seal import Pen
from tests.entering import KEYS, entered
from tests.realgames import GAMES, needs_real_games
from tests.recording import real_scenario, replay_of
from tests.strategies import GAME, Written, forked_histories, histories, played

PATHS = sorted(Path("scenarios").glob("*.jsonl"))
MISSED = read_scenario(Path("scenarios/basket-missed-on-the-board.jsonl"))


def fresh_fold(replay: Replay, entries: int, at_ms: int) -> Game:
    """A game that has just received the first so many entries, at that table time."""
    game = Game(replay.sheet, replay.rules, replay.history.game)
    for entry in list(replay.history)[:entries]:
        game.receive(entry)
    for seat in replay.seats:
        writers = {e.id.device for e in replay.history if e.seat is seat}
        for device in writers or {DeviceId(bytes(32))}:
            last = EntryId(device, game.history.have()[device])
            game.hear(seat, last, at_ms + 1)
    game.advance()
    return game


def assert_alike(moment: Moment, game: Game) -> None:
    for seat in (Seat.BOOK, Seat.CLOCK):
        assert moment.tally(seat) == game.tally(seat)
    for side, page in moment.book.pages:
        other = game.book.pages[side]
        assert page.lines == other.lines
        assert page.on_court == other.on_court
        assert page.time_outs == other.time_outs
        assert page.points_by_period == other.points_by_period
    assert moment.book.running_score == game.book.running_score
    assert moment.reading == game.board.clock.reading(moment.at_ms)
    assert moment.findings == game.open_findings()


def assert_replay_is_a_fresh_fold(replay: Replay, every: int) -> None:
    entries = 0
    for position, step in enumerate(replay.steps, start=1):
        entries += isinstance(step, EntryStep)
        after = replay.steps[position : position + 1]
        # What the check says at the very time of an entry comes after it.
        if after and after[0].at_ms == step.at_ms:
            continue
        if isinstance(step, FindingStep) or entries % every == 0:
            moment = replay.moment(position)
            assert_alike(moment, fresh_fold(replay, entries, step.at_ms))


@pytest.mark.parametrize("path", PATHS, ids=lambda path: path.stem)
def test_every_moment_is_that_of_a_fresh_fold(path: Path) -> None:
    assert_replay_is_a_fresh_fold(replay_of(read_scenario(path)), every=1)


@pytest.mark.parametrize("path", PATHS, ids=lambda path: path.stem)
def test_the_end_is_the_game_concluded(path: Path) -> None:
    scenario = read_scenario(path)
    made = entered(scenario)
    game = Game(scenario.sheet, scenario.rules, made.game)
    for entry in made.entries:
        game.receive(entry)
    game.conclude()
    replay = replay_of(scenario)
    assert replay.end.tally(Seat.BOOK) == game.tally(Seat.BOOK)
    assert replay.end.findings == game.open_findings()


def test_steps_are_in_order_of_time_with_every_entry_once() -> None:
    replay = replay_of(MISSED)
    times = [step.at_ms for step in replay.steps]
    assert times == sorted(times)
    entries = [step.entry for step in replay.steps if isinstance(step, EntryStep)]
    assert entries == list(replay.history)


def test_a_finding_is_raised_and_cleared_between_the_entries_at_its_own_time() -> None:
    replay = replay_of(MISSED)
    found = [step for step in replay.steps if isinstance(step, FindingStep)]
    assert [type(step.event) for step in found] == [Raised, Cleared]
    assert [step.finding.cause for step in found] == [Cause.ONLY_IN_BOOK] * 2
    assert found[0].at_ms == found[0].finding.raised_at_ms
    raised_at = replay.steps.index(found[0]) + 1
    assert replay.moment(raised_at - 1).findings == ()
    assert replay.moment(raised_at).findings == (found[0].finding,)
    assert replay.moment_at(found[0].at_ms - 1).findings == ()
    assert replay.moment_at(found[1].at_ms - 1).findings == (found[0].finding,)
    assert replay.moment_at(found[1].at_ms).findings == ()


def test_before_the_first_step_nothing_is_known() -> None:
    moment = replay_of(MISSED).moment(0)
    for seat in (Seat.BOOK, Seat.CLOCK):
        assert moment.tally(seat) == EMPTY_TALLY
        assert moment.knew[seat] == VectorClock()
        assert moment.last[seat] is None
    assert moment.findings == ()
    assert moment.reading == ClockReading(0, 0, running=False)


def test_what_a_seat_received_is_counted_against_what_the_others_entered() -> None:
    replay = replay_of(MISSED, delay_ms=10**9)
    assert replay.end.others[Seat.BOOK] == Received(0, 17)
    assert replay.end.others[Seat.CLOCK] == Received(0, 13)
    replay = replay_of(MISSED)
    position = next(
        n
        for n, step in enumerate(replay.steps, start=1)
        if isinstance(step, EntryStep) and step.entry.id.number == 5
    )
    step = replay.steps[position - 1]
    assert isinstance(step, EntryStep)
    known = step.entry.seen.total()
    assert replay.moment(position).others[step.entry.seat].count == known > 0


def test_a_time_between_two_steps_shows_the_clock_of_that_time() -> None:
    replay = replay_of(MISSED)
    started = next(s.at_ms for s in replay.steps if replay.reading(s.at_ms).running)
    early = replay.moment_at(started + 5_000)
    assert early.reading.remaining_ms == 600_000 - 5_000
    assert early.last[Seat.CLOCK] is not None
    assert replay.position_at(-1) == 0


def past_of(entries: list[EntryId], graph: nx.DiGraph[EntryId]) -> set[EntryId]:
    past = set(entries)
    for one in entries:
        past |= nx.ancestors(graph, one)
    return past


def assert_knew_is_the_causal_past(replay: Replay, every: int = 1) -> None:
    """Against networkx: ancestors in the graph of links and of what was seen."""
    graph: nx.DiGraph[EntryId] = nx.DiGraph()
    for entry in replay.history:
        graph.add_node(entry.id)
        if entry.id.number > 1:
            graph.add_edge(EntryId(entry.id.device, entry.id.number - 1), entry.id)
        for device, number in entry.seen.items():
            graph.add_edge(EntryId(device, number), entry.id)
    assert nx.is_directed_acyclic_graph(graph)
    so_far: dict[Seat, list[EntryId]] = {seat: [] for seat in replay.seats}
    for position, step in enumerate(replay.steps, start=1):
        if not isinstance(step, EntryStep):
            continue
        so_far[step.entry.seat].append(step.entry.id)
        if position % every:
            continue
        moment = replay.moment(position)
        for seat, clock in moment.knew:
            known = {entry.id for entry in replay.history.cut(clock)}
            assert known == past_of(so_far[seat], graph)


@given(histories())
def test_what_a_seat_knew_is_the_causal_past_of_its_entries(written: Written) -> None:
    assert_knew_is_the_causal_past(replayed(written))


@pytest.mark.parametrize("path", PATHS[:4], ids=lambda path: path.stem)
def test_what_a_seat_knew_in_a_scenario_is_the_causal_past(path: Path) -> None:
    assert_knew_is_the_causal_past(replay_of(read_scenario(path), delay_ms=4_000))


@given(histories(played) | forked_histories(played))
def test_any_history_is_replayed_as_a_fresh_fold(written: Written) -> None:
    """Devices that take over, claim one seat at once, are copied, or have no clock."""
    assert_replay_is_a_fresh_fold(replayed(written), every=3)


def replayed(written: Written) -> Replay:
    history = History(GAME)
    for entry in written.entries:
        history.add(entry)
    return Replay(MISSED.sheet, MISSED.rules, history)


def test_a_visiting_book_is_a_record_of_its_own() -> None:
    made = entered(MISSED)
    visiting = Pen(KEYS[Seat.VISITING], Seat.VISITING, made.game)
    history = History(made.game)
    for entry in (*made.entries, visiting.write(Note("here"), VectorClock(), 60_000)):
        history.add(entry)
    replay = Replay(MISSED.sheet, MISSED.rules, history)
    assert replay.seats == (Seat.BOOK, Seat.CLOCK, Seat.VISITING)
    last = replay.end.last[Seat.VISITING]
    assert last is not None
    assert last.act == Note("here")


def test_a_seat_that_never_entered_anything_is_compared_all_the_same() -> None:
    made = entered(MISSED, delay_ms=10**9)
    history = History(made.game)
    for entry in made.entries:
        if entry.seat is Seat.BOOK:
            history.add(entry)
    replay = Replay(MISSED.sheet, MISSED.rules, history)
    assert replay.end.tally(Seat.CLOCK) == EMPTY_TALLY
    assert {finding.cause for finding in replay.end.findings} >= {Cause.ONLY_IN_BOOK}


@needs_real_games
@pytest.mark.parametrize("name", GAMES[:20])
def test_a_real_game_at_every_tenth_entry_is_a_fresh_fold(
    name: str, tmp_path: Path
) -> None:
    replay = replay_of(real_scenario(name, tmp_path, slips=4))
    grown = Game(replay.sheet, replay.rules, replay.history.game)
    entries = list(replay.history)
    for count, entry in enumerate(entries, start=1):
        grown.receive(entry)
        if count % 10 == 0:
            at_ms = replay.history.place(entry).time_ms
            for seat in replay.seats:
                device = KEYS[seat].device
                last = EntryId(device, grown.history.have()[device])
                grown.hear(seat, last, at_ms + 1)
            grown.advance()
            moment = replay.moment_at(at_ms)
            if moment.last[entry.seat] is entry:
                assert_alike(moment, grown)


@needs_real_games
@pytest.mark.parametrize("name", GAMES[:3])
def test_what_a_seat_knew_in_a_real_game_is_the_causal_past(
    name: str, tmp_path: Path
) -> None:
    scenario = real_scenario(name, tmp_path, slips=4)
    assert_knew_is_the_causal_past(replay_of(scenario, delay_ms=3_000), every=10)
