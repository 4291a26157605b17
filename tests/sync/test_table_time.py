"""Samples, offset and delay against published examples, traps included."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from tablesync.core.clock_sample import Sample
from tablesync.sync.table_time import KEPT, TableTime


def test_offset_and_delay_are_those_of_the_worked_example() -> None:
    # RFC 5905, section 8, on a measured NTP exchange over ADSL whose times are given to
    # a tenth of a microsecond, so in that unit: offset -5.2375 ms, delay 19.775 ms.
    sample = Sample(4_106_340, 4_152_840, 4_154_710, 4_305_960)
    assert (sample.offset_ms, sample.delay_ms) == (-52_375, 197_750)


def test_true_offset_lies_within_half_the_delay() -> None:
    # In the same example both clocks were right, so the whole offset is the error.
    sample = Sample(4_106_340, 4_152_840, 4_154_710, 4_305_960)
    assert abs(sample.offset_ms - 0) < sample.delay_ms / 2


def test_second_worked_example() -> None:
    # Krzyzanowski, CS 417 (Rutgers), clock synchronization: -325 and 50.
    sample = Sample(1_100, 800, 850, 1_200)
    assert (sample.offset_ms, sample.delay_ms) == (-325, 50)


def test_cristians_example() -> None:
    # The same notes, after F. Cristian, "Probabilistic clock synchronization" (1989):
    # asked at 5:08:15.100, answered with 5:09:25.300 at 5:08:15.900, so the clock is
    # set to 5:09:25.700, give or take 400 ms.
    def ms(hours: int, minutes: int, seconds_ms: int) -> int:
        return (hours * 60 + minutes) * 60_000 + seconds_ms

    asked, answered = ms(5, 8, 15_100), ms(5, 8, 15_900)
    served = ms(5, 9, 25_300)
    sample = Sample(asked, served, served, answered)
    table = TableTime()
    table.take(sample)
    assert table.at(answered) == ms(5, 9, 25_700)
    assert sample.delay_ms / 2 == 400


def test_delay_leaves_out_the_time_that_the_relay_took() -> None:
    # RFC 2030 printed the delay with T2-T3 in place of T3-T2; RFC 5905 has it right.
    # Only a sample with T3 other than T2 tells the two apart.
    sample = Sample(0, 1_010, 1_040, 50)
    assert sample.delay_ms == 20


def test_offset_is_positive_where_the_relay_is_ahead() -> None:
    # The other trap: theta is T(relay) - T(device), not the reverse.
    table = TableTime()
    table.take(Sample(0, 500, 500, 10))
    assert table.offset_ms == 495
    assert table.at(10) == 505


def test_slow_samples_hardly_count_beside_a_quick_one() -> None:
    table = TableTime()
    table.take(Sample(0, 1_002, 1_002, 4))
    table.take(Sample(1_000, 2_300, 2_300, 1_600))
    table.take(Sample(2_000, 3_001, 3_001, 2_400))
    assert abs(table.offset_ms - 1_000) <= 1


def test_bounds_of_all_samples_narrow_the_offset() -> None:
    # Marzullo and Owicki (1983) intersect intervals: of [100, 104] and [102, 106] the
    # truth is in [102, 104], whichever has the lesser delay.
    table = TableTime()
    table.take(Sample(0, 104, 104, 4))
    table.take(Sample(10, 116, 116, 14))
    assert table.offset_ms == 103


def test_quick_way_there_and_quick_way_back_need_not_be_in_one_sample() -> None:
    # Both clocks are right. Either sample alone is 195 ms off.
    table = TableTime()
    table.take(Sample(0, 10, 10, 410))
    table.take(Sample(1_000, 1_400, 1_400, 1_410))
    assert table.offset_ms == 0


def test_best_sample_is_forgotten_after_enough_others() -> None:
    table = TableTime()
    table.take(Sample(0, 1_000, 1_000, 0))
    for n in range(1, KEPT):
        table.take(Sample(n, n + 1_010, n + 1_010, n + 10))
    assert table.offset_ms == 1_000
    table.take(Sample(KEPT, KEPT + 1_010, KEPT + 1_010, KEPT + 10))
    assert table.offset_ms == 1_005


def test_old_sample_bounds_the_less_the_more_the_clocks_may_have_drifted() -> None:
    table = TableTime()
    table.take(Sample(0, 1_000, 1_000, 0))
    later = 1_000_000
    table.take(Sample(later, later + 1_400, later + 1_400, later + 400))
    # After a thousand seconds at 300 ppm the first leaves 700 to 1,300.
    assert table.offset_ms == (1_000 + 1_300) / 2


@given(
    offset_ms=st.integers(-86_400_000, 86_400_000),
    ways=st.lists(
        st.tuples(st.integers(0, 400), st.integers(0, 400)), min_size=1, max_size=80
    ),
)
def test_error_is_within_half_of_the_quickest_ways_together(
    offset_ms: int, ways: list[tuple[int, int]]
) -> None:
    table = TableTime()
    for n, (there_ms, back_ms) in enumerate(ways):
        there = n * 1_000 + offset_ms + there_ms
        table.take(Sample(n * 1_000, there, there, n * 1_000 + there_ms + back_ms))
    kept = ways[-KEPT:]
    quickest_ms = min(there for there, _ in kept) + min(back for _, back in kept)
    # Bounds widen by 300 ppm, for which a minute's samples leave 19 ms.
    assert abs(table.offset_ms - offset_ms) <= quickest_ms / 2 + 20


def test_jump_after_a_suspend_discards_older_samples() -> None:
    table = TableTime()
    for n in range(5):
        table.take(Sample(n * 1_000, n * 1_000, n * 1_000, n * 1_000))
    # The device slept for an hour and its monotonic clock with it.
    table.take(Sample(5_000, 3_605_020, 3_605_020, 5_040))
    assert table.offset_ms == 3_600_000
    table.take(Sample(6_000, 3_606_100, 3_606_100, 6_200))
    assert table.offset_ms == 3_600_000


def test_slow_drift_is_no_jump() -> None:
    table = TableTime()
    table.take(Sample(0, 100, 100, 0))
    table.take(Sample(1_000, 1_103, 1_103, 1_001))
    assert 100 <= table.offset_ms <= 103
    table.take(Sample(2_000, 2_106, 2_106, 2_001))
    assert 103 <= table.offset_ms <= 106


def test_negative_delay_is_no_exchange() -> None:
    table = TableTime(offset_ms=7)
    table.take(Sample(1_000, 0, 0, 900))
    assert table.offset_ms == 7


def test_last_known_offset_holds_until_the_first_sample() -> None:
    assert TableTime(offset_ms=250).at(1_000) == 1_250
