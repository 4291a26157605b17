from __future__ import annotations

from itertools import combinations
from time import perf_counter
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tablesync.core.acts import (
    ClosePeriod,
    OpenPeriod,
    Side,
    Substitution,
    Unavailable,
)
from tablesync.core.periods import BEFORE_THE_GAME, PeriodState
from tablesync.core.playing_time import (
    LookAhead,
    PlayingTimeRule,
    PlayingTimeRules,
    Prospect,
    Share,
    look_ahead,
    periods_left,
    shares_of,
)
from tablesync.core.rulesets import rule_set
from tablesync.core.sources import league
from tests.scribe import BookDesk, foul

if TYPE_CHECKING:
    from collections.abc import Iterator

YOUTH = rule_set("youth")
HOME = Side.HOME
TWO_WHOLE_ONE_OUT = PlayingTimeRule(6, whole=2, most=3, out=1, source=league())


def line_ups(numbers: list[str], left: int) -> Iterator[list[frozenset[str]]]:
    """Every way to fill the periods to come, five on court in each."""
    if left == 0:
        yield []
        return
    for starters in combinations(numbers, min(5, len(numbers))):
        for rest in line_ups(numbers, left - 1):
            yield [frozenset(starters), *rest]


def holds(share: Share, rule: PlayingTimeRule, played: int, left: int) -> bool:
    """Whether the rule holds for a player who plays so many of the periods to come."""
    return (
        share.whole + played >= rule.whole
        and share.played + played <= rule.most
        and share.out + left - played >= rule.out
    )


def brute_force(
    shares: list[Share], rule: PlayingTimeRule, left: int
) -> tuple[dict[str, Prospect], set[frozenset[str]]]:
    """Each player's prospect, and the next line-ups after which all can be met.

    By going through all line-ups of all periods to come. A player's own prospect looks
    at him alone; the line-ups look at all who have not lost it.
    """
    prospects = {}
    for share in shares:
        results = {holds(share, rule, n, left) for n in range(left + 1)}
        prospects[share.number] = (
            Prospect.LOST
            if results == {False}
            else Prospect.MET
            if results == {True}
            else Prospect.OPEN
        )
    open_ones = [s for s in shares if prospects[s.number] is not Prospect.LOST]
    good = set()
    for plan in line_ups([s.number for s in shares], left):
        played = {s.number: sum(s.number in up for up in plan) for s in shares}
        if all(holds(s, rule, played[s.number], left) for s in open_ones):
            good.add(plan[0] if plan else frozenset())
    return prospects, good


@st.composite
def situations(draw: st.DrawFn) -> tuple[list[Share], PlayingTimeRule, int]:
    """A small roster somewhere in a game of up to four periods, under some rule."""
    left = draw(st.integers(0, 3))
    done = draw(st.integers(0, 4 - left))
    size = draw(st.integers(1, {0: 9, 1: 9, 2: 8, 3: 6}[left]))
    shares = []
    for number in range(size):
        whole = draw(st.integers(0, done))
        played = draw(st.integers(whole, done))
        shares.append(Share(str(number), whole, played, done - played))
    rule = PlayingTimeRule(
        least_present=1,
        whole=draw(st.integers(0, 3)),
        most=draw(st.integers(1, 4)),
        out=draw(st.integers(0, 2)),
        source=league(),
    )
    return shares, rule, left


@settings(max_examples=300, deadline=None)
@given(situations())
def test_the_look_ahead_is_that_of_brute_force_over_all_line_ups(
    situation: tuple[list[Share], PlayingTimeRule, int],
) -> None:
    shares, rule, left = situation
    prospects, good = brute_force(shares, rule, left)
    ahead = look_ahead(shares, rule, left)
    assert ahead.prospects == prospects
    assert ahead.can_all_be_met == bool(good)
    if not left or not good:
        return
    numbers = [share.number for share in shares]
    for starters in combinations(numbers, min(5, len(numbers))):
        assert ahead.allows(starters) == (frozenset(starters) in good)
    assert ahead.must_start == frozenset.intersection(*good)
    assert ahead.must_sit == frozenset(numbers) - frozenset.union(*good)


def test_the_look_ahead_of_two_sides_of_twelve_takes_under_50_ms() -> None:
    shares = [Share(str(n), n % 2, 1, 0) for n in range(12)]
    began = perf_counter()
    for _ in range(2):
        look_ahead(shares, PlayingTimeRule(1, 1, 3, 1, league()), 3)
    assert perf_counter() - began < 0.05


def ahead_of(desk: BookDesk) -> LookAhead:
    page = desk.book.pages[HOME]
    present, shares = shares_of(page, YOUTH.periods, ())
    rule = YOUTH.playing_time.for_present(present)
    assert rule is not None
    return look_ahead(shares, rule, periods_left(desk.book.periods, YOUTH.periods))


def test_players_who_have_had_theirs_are_met_and_the_others_open() -> None:
    """Eight present: two whole quarters, at most three, one sat out."""
    desk = BookDesk(YOUTH)
    desk.enter(OpenPeriod(1), ClosePeriod(1))
    desk.enter(Substitution(HOME, ("9", "10", "11"), ("4", "5", "6")))
    desk.enter(OpenPeriod(2), ClosePeriod(2))
    desk.enter(Substitution(HOME, ("4", "5", "6"), ("7", "8", "9")))
    desk.enter(OpenPeriod(3), ClosePeriod(3))
    prospects = ahead_of(desk).prospects
    assert prospects["4"] is Prospect.MET
    assert prospects["9"] is Prospect.OPEN
    assert prospects["10"] is Prospect.MET


def test_an_open_period_counts_as_it_stands() -> None:
    desk = BookDesk(YOUTH)
    desk.enter(OpenPeriod(1), Substitution(HOME, ("9",), ("4",)))
    _, shares = shares_of(desk.book.pages[HOME], YOUTH.periods, ())
    by_number = {share.number: share for share in shares}
    assert by_number["4"] == Share("4", whole=0, played=1, out=0)
    assert by_number["5"] == Share("5", whole=1, played=1, out=0)
    assert by_number["9"] == Share("9", whole=0, played=1, out=0)
    assert by_number["10"] == Share("10", whole=0, played=0, out=1)


def test_who_is_absent_does_not_count_and_who_is_hurt_is_owed_nothing() -> None:
    desk = BookDesk(YOUTH)
    desk.enter(Unavailable(HOME, "11", "absent"), OpenPeriod(1))
    desk.enter(Unavailable(HOME, "10", "hurt"), *[foul(HOME, "4")] * 5)
    present, shares = shares_of(desk.book.pages[HOME], YOUTH.periods, ("4",))
    assert present == 7
    assert [share.number for share in shares] == ["5", "6", "7", "8", "9"]


def test_somebody_who_played_without_being_on_the_sheet_counts() -> None:
    desk = BookDesk(YOUTH)
    desk.enter(Substitution(HOME, ("33",), ("4",)), OpenPeriod(1), foul(HOME, "99"))
    present, shares = shares_of(desk.book.pages[HOME], YOUTH.periods, ())
    assert present == 9
    assert {"33"} == {s.number for s in shares} - set(map(str, range(4, 12)))


def test_overtimes_do_not_count() -> None:
    desk = BookDesk(YOUTH)
    for period in range(1, 6):
        desk.enter(OpenPeriod(period))
    _, shares = shares_of(desk.book.pages[HOME], YOUTH.periods, ())
    assert {share.whole for share in shares} == {0, 4}


@pytest.mark.parametrize(
    ("present", "whole"), [(5, None), (6, 2), (7, 2), (10, 2), (11, 1), (15, 1)]
)
def test_the_rule_is_that_of_the_number_present(
    present: int, whole: int | None
) -> None:
    """The youth set's own rules."""
    rule = YOUTH.playing_time.for_present(present)
    assert (None if rule is None else rule.whole) == whole


def test_the_youth_rules_can_be_met_from_the_start_however_many_are_present() -> None:
    for present in range(6, 16):
        rule = YOUTH.playing_time.for_present(present)
        assert rule is not None
        shares = [Share(str(n), 0, 0, 0) for n in range(present)]
        assert look_ahead(shares, rule, 4).can_all_be_met, present


def test_a_code_without_such_rules_has_none() -> None:
    assert PlayingTimeRules(()).for_present(12) is None


def test_the_periods_that_are_still_to_be_opened() -> None:
    assert periods_left(BEFORE_THE_GAME, 4) == 4
    assert periods_left(PeriodState(3, is_open=True), 4) == 1
    assert periods_left(PeriodState(5, is_open=False), 4) == 0
