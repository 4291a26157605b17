"""The accounts of time-outs against the codes' own examples."""

from __future__ import annotations

from tablesync.core.acts import TimeOutLength
from tablesync.core.rulesets import rule_set
from tablesync.core.time_out_rules import Allowance, TakenTimeOut

FULL, SHORT = TimeOutLength.FULL, TimeOutLength.SHORT


def taken(
    *periods: int, length: TimeOutLength = FULL, remaining_ms: int | None = 300_000
) -> tuple[TakenTimeOut, ...]:
    return tuple(TakenTimeOut(period, length, remaining_ms) for period in periods)


def left(
    name: str,
    so_far: tuple[TakenTimeOut, ...],
    period: int,
    remaining_ms: int | None = 300_000,
) -> Allowance:
    return rule_set(name).time_out_account(so_far, period, remaining_ms).left


def test_fiba_two_in_the_first_half_three_in_the_second_one_an_overtime() -> None:
    """FIBA Art. 18.2.5; unused ones never carry over, 18.2.6."""
    assert left("fiba-2024", (), 1) == Allowance(2, 0)
    assert left("fiba-2024", taken(1), 2) == Allowance(1, 0)
    assert left("fiba-2024", taken(1), 3) == Allowance(3, 0)
    assert left("fiba-2024", taken(3, 3), 4) == Allowance(1, 0)
    assert left("fiba-2024", (), 5) == Allowance(1, 0)
    assert left("fiba-2024", taken(5), 5) == Allowance(0, 0)
    assert left("fiba-2024", taken(5), 6) == Allowance(1, 0)


def test_fiba_at_most_two_in_the_last_two_minutes() -> None:
    """FIBA Art. 18.2.5."""
    assert left("fiba-2024", (), 4, 120_001) == Allowance(3, 0)
    assert left("fiba-2024", (), 4, 120_000) == Allowance(2, 0)
    late = taken(4, remaining_ms=90_000)
    assert left("fiba-2024", late, 4, 90_000) == Allowance(1, 0)
    before = taken(4, remaining_ms=150_000)
    assert left("fiba-2024", before, 4, 100_000) == Allowance(2, 0)
    assert left("fiba-2024", (), 3, 100_000) == Allowance(3, 0)


def test_without_a_clock_the_late_limit_can_not_be_told() -> None:
    assert left("fiba-2024", (), 4, None) == Allowance(3, 0)


def test_one_too_many_is_counted() -> None:
    account = rule_set("fiba-2024").time_out_account(taken(1, 1, 2), 2, 300_000)
    assert (account.left, account.too_many) == (Allowance(0, 0), 1)
    late = taken(4, 4, 4, remaining_ms=60_000)
    account = rule_set("fiba-2024").time_out_account(late, 4, 60_000)
    assert account.too_many == 1


def test_nfhs_three_full_and_two_short_a_game_and_one_full_an_overtime() -> None:
    """NFHS 5-12-1: any time, unused ones stay usable."""
    assert left("nfhs-2023", (), 1) == Allowance(3, 2)
    so_far = taken(1, 2) + taken(2, length=SHORT)
    assert left("nfhs-2023", so_far, 4) == Allowance(1, 1)
    assert left("nfhs-2023", so_far, 5) == Allowance(2, 1)
    assert left("nfhs-2023", so_far, 6) == Allowance(3, 1)


def test_nfhs_a_short_one_with_none_left_takes_a_full_one() -> None:
    """NFHS case 5.12.1 B."""
    so_far = taken(1, 2) + taken(1, 2, 3, length=SHORT)
    assert left("nfhs-2023", so_far, 4) == Allowance(0, 0)


def test_a_full_one_with_none_left_takes_a_short_one() -> None:
    assert left("nfhs-2023", taken(1, 1, 1, 1), 1) == Allowance(0, 1)


def test_ncaa_men_two_of_the_short_ones_go_into_the_second_half() -> None:
    """NCAA 5-14.10 (2019-20)."""
    assert left("ncaa-men", (), 1) == Allowance(1, 3)
    assert left("ncaa-men", (), 2) == Allowance(1, 2)
    assert left("ncaa-men", (), 3) == Allowance(1, 3)
    assert left("ncaa-men", taken(1, 1, length=SHORT), 2) == Allowance(1, 1)


def test_ncaa_women_three_of_the_four_go_into_the_second_half() -> None:
    """NCAA women's media format 2015-17, plays 1 to 3."""
    assert left("ncaa-women", taken(1, length=SHORT), 3) == Allowance(1, 2)
    assert left("ncaa-women", taken(2), 3) == Allowance(0, 3)
    assert left("ncaa-women", (), 3) == Allowance(1, 2)
    assert left("ncaa-women", (), 5) == Allowance(1, 3)


def test_the_lengths_of_time_outs() -> None:
    """FIBA 18.2.5: one minute, one kind; NFHS 5-12-1: 60 and 30 seconds."""
    fiba, nfhs = rule_set("fiba-2024").time_outs, rule_set("nfhs-2023").time_outs
    assert (fiba.length_ms(FULL), fiba.length_ms(SHORT)) == (60_000, 60_000)
    assert (nfhs.length_ms(FULL), nfhs.length_ms(SHORT)) == (60_000, 30_000)


def test_the_part_of_the_game_that_an_account_is_for_has_a_name() -> None:
    fiba = rule_set("fiba-2024")
    assert [fiba.time_out_span_title(period) for period in (2, 3, 5)] == [
        "1st half",
        "2nd half",
        "1st overtime",
    ]
