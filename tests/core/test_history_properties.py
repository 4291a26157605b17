from __future__ import annotations

from collections import defaultdict
from itertools import chain, combinations, pairwise
from typing import TYPE_CHECKING, TypeAlias

import networkx as nx
from hypothesis import given
from hypothesis import strategies as st

from tablesync.core.acts import Note
from tablesync.core.history import Head, History
from tests.converge import converge
from tests.fakes import Link, Weather
from tests.strategies import (
    GAME,
    KEYS,
    SEATS,
    Desk,
    Written,
    arrivals,
    forked_histories,
    histories,
)

if TYPE_CHECKING:
    from collections.abc import Iterable

    from hypothesis.strategies import DataObject

    from tablesync.core.entries import Entry
    from tablesync.core.history import Place
    from tablesync.core.vector_clock import DeviceId

Graph: TypeAlias = "nx.DiGraph[bytes]"
Heads: TypeAlias = dict["DeviceId", tuple[Head, ...]]

any_history = histories() | forked_histories()


def history_of(entries: Iterable[Entry]) -> History:
    history = History(GAME)
    for entry in entries:
        history.add(entry)
    return history


def digests(entries: Iterable[Entry]) -> list[bytes]:
    return [entry.digest for entry in entries]


def happens_before(written: Written) -> Graph:
    """From each entry's link and from the last that it had seen of each device."""
    at = {entry.id: entry.digest for entry in written.entries}
    graph: Graph = nx.DiGraph()
    for entry in written.entries:
        graph.add_node(entry.digest)
        if entry.link != GAME:
            graph.add_edge(entry.link, entry.digest)
        for device, number in entry.seen.items():
            seen = next(
                at[id_] for id_ in at if id_.device == device and id_.number == number
            )
            graph.add_edge(seen, entry.digest)
    return graph


@given(histories())
def test_what_entries_say_they_knew_is_what_their_writers_knew(
    written: Written,
) -> None:
    graph = happens_before(written)
    assert nx.is_directed_acyclic_graph(graph)
    for entry in written.entries:
        assert nx.ancestors(graph, entry.digest) == written.past[entry.digest]


@given(histories(), st.data())
def test_the_order_is_a_topological_order_of_happens_before(
    written: Written, data: DataObject
) -> None:
    order = digests(history_of(data.draw(arrivals(written.entries))))
    graph = happens_before(written)
    assert sorted(order) == sorted(graph.nodes)
    position = {digest: place for place, digest in enumerate(order)}
    closure: Graph = nx.transitive_closure(graph)
    for before, after in closure.edges:
        assert position[before] < position[after]


@given(histories())
def test_knowing_and_concurrency_equal_the_transitive_closure(
    written: Written,
) -> None:
    closure: Graph = nx.transitive_closure(happens_before(written))
    for one, other in combinations(written.entries, 2):
        knew = closure.has_edge(other.digest, one.digest)
        was_known = closure.has_edge(one.digest, other.digest)
        assert one.knew(other) == (other.clock < one.clock) == knew
        assert other.knew(one) == (one.clock < other.clock) == was_known
        assert one.is_concurrent_with(other) == (not knew and not was_known)
        assert one.clock.is_concurrent_with(other.clock) == one.is_concurrent_with(
            other
        )


@given(histories())
def test_a_cut_is_the_entry_and_its_ancestors_in_order(written: Written) -> None:
    history = history_of(written.entries)
    graph = happens_before(written)
    for entry in written.entries:
        cut = history.cut(entry.clock)
        past = nx.ancestors(graph, entry.digest) | {entry.digest}
        assert set(digests(cut)) == past
        assert digests(cut) == [d for d in digests(history) if d in past]


@given(any_history, st.data())
def test_any_arrival_order_gives_the_same_history(
    written: Written, data: DataObject
) -> None:
    straight = history_of(written.entries)
    mixed = history_of(data.draw(arrivals(written.entries)))
    assert straight.waiting() == mixed.waiting() == ()
    assert sorted(digests(straight)) == sorted(digests(written.entries))
    assert list(mixed) == list(straight)
    assert [mixed.place(e) for e in mixed] == [straight.place(e) for e in straight]
    assert mixed.have() == straight.have()
    assert mixed.heads() == straight.heads()
    assert mixed.forks() == straight.forks()
    assert mixed.broken() == straight.broken() == ()


@given(any_history, st.data())
def test_what_was_released_counts_as_if_it_were_held(
    written: Written, data: DataObject
) -> None:
    whole, released = History(GAME), History(GAME)
    for entry in data.draw(arrivals(written.entries)):
        taken = whole.add(entry)
        assert released.add(entry) == taken
        released.release(taken)
        assert released.places() == whole.places()
        assert released.heads() == whole.heads()
        assert released.waiting() == whole.waiting()
    assert all(map(released.is_released, released.places()))
    theirs = history_of(data.draw(arrivals(written.entries))[::2]).heads()
    missing = released.places_missing_from(theirs)
    assert missing == tuple(map(whole.place, whole.missing_from(theirs)))


@given(any_history, st.data())
def test_each_entry_is_taken_in_once_and_after_what_it_knew(
    written: Written, data: DataObject
) -> None:
    history = History(GAME)
    taken: list[Entry] = []
    for entry in data.draw(arrivals(written.entries)):
        new = history.add(entry)
        taken += new
        assert len(history) == len(taken)
    assert sorted(digests(taken)) == sorted(digests(written.entries))
    held: set[tuple[DeviceId, int]] = set()
    for entry in taken:
        assert set(entry.seen.items()) <= held
        assert entry.id.number == 1 or (entry.id.device, entry.id.number - 1) in held
        held.add((entry.id.device, entry.id.number))


@given(histories(), st.data())
def test_without_a_fork_the_place_of_an_entry_never_moves(
    written: Written, data: DataObject
) -> None:
    history = History(GAME)
    places: dict[bytes, Place] = {}
    for entry in data.draw(arrivals(written.entries)):
        for new in history.add(entry):
            places[new.digest] = history.place(new)
        assert {e.digest: history.place(e) for e in history} == places


@given(any_history, st.data())
def test_the_order_ascends_by_place_and_along_every_chain(
    written: Written, data: DataObject
) -> None:
    history = history_of(data.draw(arrivals(written.entries)))
    order = list(history)
    places = [history.place(entry) for entry in order]
    assert places == sorted(places)
    position = {entry.digest: i for i, entry in enumerate(order)}
    for entry in order:
        assert history.place(entry).time_ms >= entry.table_time_ms
        assert entry.link == GAME or position[entry.link] < position[entry.digest]
    for place, entry in zip(places, order, strict=True):
        later = history.entries_from(place)
        assert list(later) == order[position[entry.digest] :]


@given(histories(), st.data())
def test_of_any_part_that_is_taken_in_of_which_all_is_held(
    written: Written, data: DataObject
) -> None:
    part = [e for e in written.entries if data.draw(st.booleans())]
    history = history_of(data.draw(arrivals(part)))
    held = set(digests(part))
    complete = {d for d in held if written.past[d] <= held}
    assert set(digests(history)) == complete
    assert set(digests(history.waiting())) == held - complete


@given(forked_histories())
def test_every_fork_is_kept_and_reported(written: Written) -> None:
    history = history_of(written.entries)
    at = defaultdict(set)
    links = set()
    for entry in written.entries:
        at[entry.id].add(entry.digest)
        links.add(entry.link)
    forks = {fork.id: set(digests(fork.entries)) for fork in history.forks()}
    assert forks == {id_: held for id_, held in at.items() if len(held) > 1}
    assert set(history) == set(written.entries)
    heads = {head.digest for tips in history.heads().values() for head in tips}
    assert heads == {e.digest for e in written.entries} - links
    for id_, branches in at.items():
        assert history[id_].digest == min(branches)


@given(any_history)
def test_the_highest_number_of_each_device_is_held_without_a_gap(
    written: Written,
) -> None:
    have = history_of(written.entries).have()
    numbers = defaultdict(set)
    for entry in written.entries:
        numbers[entry.id.device].add(entry.id.number)
    assert {device: set(range(1, n + 1)) for device, n in have.items()} == numbers


class HeadsHolder:
    """Says which heads it has, and sends what the other may lack by its heads."""

    def __init__(self, history: History) -> None:
        self.history = history
        self._theirs: Heads | None = None
        self._said: Heads | None = None

    def receive_frame(self, frame: Heads | Entry, now_ms: int) -> None:
        del now_ms
        if isinstance(frame, dict):
            self._theirs = frame
        else:
            self.history.add(frame)

    def frames_to_send(self) -> list[Heads | Entry]:
        frames: list[Heads | Entry] = []
        lacks = False
        if self._theirs is not None:
            frames += self.history.missing_from(self._theirs)
            lacks = any(
                h.digest not in self.history for h in chain(*self._theirs.values())
            )
            self._theirs = None
        # Heads that it lacks are sent by whoever looks at its own heads again.
        heads = self.history.heads()
        if lacks or heads != self._said:
            self._said = heads
            frames.append(heads)
        return frames


def causal_part(written: Written, data: DataObject) -> History:
    """What a holder may have kept of an exchange that broke off somewhere."""
    part = [e for e in written.entries if data.draw(st.booleans())]
    return history_of(history_of(part))


@given(any_history, st.data())
def test_holders_of_any_two_parts_come_to_hold_both(
    written: Written, data: DataObject
) -> None:
    one, other = causal_part(written, data), causal_part(written, data)
    both = history_of([*one, *other])
    converge(HeadsHolder(one), HeadsHolder(other))
    assert list(one) == list(other) == list(both)
    assert one.forks() == other.forks() == both.forks()


@given(any_history, st.data(), st.integers(0, 1_000))
def test_a_bad_link_that_heals_leaves_both_with_the_same_history(
    written: Written, data: DataObject, seed: int
) -> None:
    storm = Weather(drop=0.4, repeat=0.3, most_delay_ms=300)
    one, other = (HeadsHolder(causal_part(written, data)) for _ in range(2))
    there: Link[Heads | Entry] = Link(storm, seed)
    back: Link[Heads | Entry] = Link(storm, seed + 1)
    for now_ms in range(0, 1_000, 100):
        for here, link, yonder in ((one, there, other), (other, back, one)):
            for frame in here.frames_to_send():
                link.send(frame, now_ms)
            for frame in link.arrived(now_ms):
                yonder.receive_frame(frame, now_ms)
    one, other = (HeadsHolder(history_of(holder.history)) for holder in (one, other))
    converge(one, other)
    assert list(one.history) == list(other.history)


@given(histories())
def test_what_a_holder_sends_needs_no_waiting(written: Written) -> None:
    full, empty = history_of(written.entries), History(GAME)
    for entry in full.missing_from(empty.heads()):
        assert empty.add(entry) == (entry,)


@given(histories())
def test_a_later_cut_covers_an_earlier_one(written: Written) -> None:
    history = history_of(written.entries)
    for one, other in pairwise(history):
        if one.clock < other.clock:
            assert set(history.cut(one.clock)) < set(history.cut(other.clock))


def test_two_forks_of_which_each_waits_for_the_other_are_untangled() -> None:
    #     A        B           the other's A    and B
    #     A2 <---- B2          A2' -----------> B3'
    #     knows D                               B2' knows C
    #     A3
    # Each holder's branch is the longer one of one device, and looks merely newer; and
    # what comes of the shorter one waits for the branch that is not sent.
    a, b, c, d = (Desk(name, KEYS[i], SEATS[i]) for i, name in enumerate("ABCD"))
    a.write(Note("A1"), 0)
    b.write(Note("B1"), 0)
    a2, b2 = a.copied("A'"), b.copied("B'")
    c.write(Note("C1"), 0)
    d.write(Note("D1"), 0)
    b.write(Note("B2"), 0)
    for teller in (b, d):
        teller.tell(a, 10)
    a.write(Note("A2"), 0)
    a.write(Note("A3"), 0)
    c.tell(b2, 10)
    b2.write(Note("B2'"), 0)
    a2.write(Note("A2'"), 0)
    a2.tell(b2, 10)
    b2.write(Note("B3'"), 0)
    one, other = history_of(a.known.values()), history_of(b2.known.values())
    converge(HeadsHolder(one), HeadsHolder(other))
    assert len(one) == 10
    assert list(one) == list(other)
