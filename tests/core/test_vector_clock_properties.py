from __future__ import annotations

from hypothesis import given

from tablesync.core.vector_clock import VectorClock
from tests.strategies import DEVICES, clocks


@given(clocks, clocks)
def test_merging_is_commutative(one: VectorClock, other: VectorClock) -> None:
    assert one.merged(other) == other.merged(one)


@given(clocks, clocks, clocks)
def test_merging_is_associative(a: VectorClock, b: VectorClock, c: VectorClock) -> None:
    assert a.merged(b).merged(c) == a.merged(b.merged(c))


@given(clocks)
def test_merging_is_idempotent(clock: VectorClock) -> None:
    assert clock.merged(clock) == clock
    assert clock.merged(VectorClock()) == clock


@given(clocks, clocks, clocks)
def test_a_merged_clock_is_the_least_that_covers_both(
    one: VectorClock, other: VectorClock, third: VectorClock
) -> None:
    merged = one.merged(other)
    assert one <= merged
    assert other <= merged
    if one <= third and other <= third:
        assert merged <= third


@given(clocks, clocks, clocks)
def test_happens_before_is_a_partial_order(
    a: VectorClock, b: VectorClock, c: VectorClock
) -> None:
    assert a <= a
    if a <= b and b <= a:
        assert a == b
        assert hash(a) == hash(b)
    if a <= b <= c:
        assert a <= c
    assert (a < b) == (a <= b and a != b)


@given(clocks, clocks)
def test_two_clocks_are_before_after_equal_or_concurrent(
    one: VectorClock, other: VectorClock
) -> None:
    states = (one < other, other < one, one == other, one.is_concurrent_with(other))
    assert sum(states) == 1


@given(clocks, clocks)
def test_concurrency_is_symmetric(one: VectorClock, other: VectorClock) -> None:
    assert one.is_concurrent_with(other) == other.is_concurrent_with(one)


@given(clocks, clocks)
def test_the_order_is_that_of_every_single_count(
    one: VectorClock, other: VectorClock
) -> None:
    assert (one <= other) == all(one[device] <= other[device] for device in DEVICES)


@given(clocks, clocks)
def test_the_total_grows_along_the_order(one: VectorClock, other: VectorClock) -> None:
    if one < other:
        assert one.total() < other.total()


@given(clocks)
def test_one_more_entry_makes_a_later_clock(clock: VectorClock) -> None:
    for device in DEVICES:
        assert clock < clock.advanced(device)
        assert clock.advanced(device).total() == clock.total() + 1
        assert clock.without(device) <= clock
