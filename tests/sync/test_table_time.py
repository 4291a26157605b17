"""Samples, offset and delay against published examples, traps included."""

from __future__ import annotations

from tablesync.core.clock_sample import Sample
from tablesync.sync.table_time import TableTime


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


def test_sample_with_the_least_delay_wins() -> None:
    table = TableTime()
    table.take(Sample(0, 1_002, 1_002, 4))
    table.take(Sample(1_000, 2_300, 2_300, 1_600))
    table.take(Sample(2_000, 3_001, 3_001, 2_400))
    assert table.offset_ms == 1_000


def test_of_equal_delays_the_newest_wins() -> None:
    table = TableTime()
    table.take(Sample(0, 1_002, 1_002, 4))
    table.take(Sample(1_000, 2_004, 2_004, 1_004))
    assert table.offset_ms == 1_002


def test_best_sample_is_forgotten_after_eight_more() -> None:
    table = TableTime()
    table.take(Sample(0, 1_000, 1_000, 0))
    for n in range(1, 8):
        table.take(
            Sample(n * 1_000, n * 1_000 + 1_010, n * 1_000 + 1_010, n * 1_000 + 10)
        )
    assert table.offset_ms == 1_000
    table.take(Sample(9_000, 10_010, 10_010, 9_010))
    assert table.offset_ms == 1_005


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
    assert table.offset_ms == 100


def test_negative_delay_is_no_exchange() -> None:
    table = TableTime(offset_ms=7)
    table.take(Sample(1_000, 0, 0, 900))
    assert table.offset_ms == 7


def test_last_known_offset_holds_until_the_first_sample() -> None:
    assert TableTime(offset_ms=250).at(1_000) == 1_250
