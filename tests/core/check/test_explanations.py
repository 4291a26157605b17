"""The explanations are the exact sum over all alignments; the best is the cheapest."""

from __future__ import annotations

from itertools import product
from math import exp, log
from random import Random

import numpy as np
import pytest
from scipy.optimize import linear_sum_assignment

from tablesync.core.acts import Side
from tablesync.core.check import explanations as module
from tablesync.core.check.claims import Claim
from tablesync.core.check.explanations import Explanation, Explanations
from tablesync.core.check.habits import Habits
from tablesync.core.check.slips import ODDS, SlipKind
from tests.core.check.claiming import PAIR, claim

HOME, AWAY = Side.HOME, Side.AWAY

Choice = tuple[str, Claim | None]
"""What one claim is taken for: fresh, a second press, or one act with another."""


@pytest.fixture
def keep_all(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing is dropped as unlikely."""
    for name in ("UNLIKELY", "UNLIKELY_OLD", "UNLIKELY_OLD_SLIP"):
        monkeypatch.setattr(module, name, 0.0)
    monkeypatch.setattr(module, "MOST", 10**9)
    # The possession goes by one alignment's pairs, so it is left out of the sum.
    monkeypatch.setattr(module, "RECENT_S", 0.0)


def window(random: Random, size: int) -> list[Claim]:
    """Some claims of both records within a few seconds."""
    times = sorted(random.uniform(100.0, 112.0) for _ in range(size))
    return [
        claim(
            number,
            random.randrange(2),
            at_s,
            random.choice((HOME, AWAY)),
            random.choice((1, 2, 2, 3)),
        )
        for number, at_s in enumerate(times)
    ]


def explained(claims: list[Claim]) -> Explanations:
    result = Explanations(Habits(PAIR))
    for one in claims:
        result.add(one, 1.0, {})
    return result


class Alignment:
    """One way to align two records, weighed step by step without any sharing.

    The factors are the model's; that they are put together rightly is what this shows.
    """

    def __init__(self, habits: Habits) -> None:
        self.habits = habits
        self.weight = 1.0
        self.waiting: list[tuple[Claim, int]] = []
        self.slips: list[tuple[SlipKind, tuple[Claim, ...]]] = []
        self.pairs: list[tuple[Claim, Claim]] = []
        self.last_s = [-99.0, -99.0]
        self.last_like: dict[tuple[int, str, str | None], Claim] = {}

    def choices(self, new: Claim) -> list[Choice]:
        before = self.last_like.get((new.record, new.mark.item, new.mark.side))
        choices: list[Choice] = [("fresh", None)]
        if before is not None and before.mark == new.mark:
            choices.append(("again", before))
        choices += [
            ("pair", old) for old, _ in self.waiting if old.record != new.record
        ]
        return choices

    def take(self, new: Claim, choice: Choice) -> None:
        kind, old = choice
        if kind == "fresh":
            self._fresh(new)
        elif kind == "again":
            assert old is not None
            gap_s = new.at_s - old.at_s
            z = (gap_s - 0.9) / 0.9
            self.weight *= ODDS.twice * exp(-z * z / 2) if gap_s < 3.0 else 0.0
            self.slips.append((SlipKind.TWICE, (old, new)))
        else:
            assert old is not None
            self._pair(new, old)
        self.last_s[new.record] = new.at_s
        self.last_like[new.record, new.mark.item, new.mark.side] = new

    def _fresh(self, new: Claim) -> None:
        rate = {1: 0.003, 2: 0.0045, 3: 0.002}[new.mark.amount]
        self.weight *= rate
        self.waiting = [
            (w, min(3, times + 1) if w.record != new.record else times)
            for w, times in self.waiting
        ]
        self.waiting.append((new, 0))

    def _pair(self, new: Claim, old: Claim) -> None:
        (times,) = (times for w, times in self.waiting if w is old)
        factor = self.habits.density(old, new.at_s)
        factor *= self.habits.overtaking * 0.5 ** (times - 1) if times else 1.0
        gap_s, before_s = new.at_s - self.last_s[new.record], self.last_s[new.record]
        if times == 0 and gap_s < 8.0 and before_s > old.at_s:
            due = 1 - self.habits.survival(old, before_s)
            factor += due * exp(-gap_s / 1.2) / 1.2
        if new.mark != old.mark:
            self._differ(new, old)
        self.weight *= factor
        self.pairs.append((old, new) if new.record else (new, old))
        self.waiting = [
            (w, min(3, n + 1) if w.number < old.number or w.record == new.record else n)
            for w, n in self.waiting
            if w is not old
        ]

    def _differ(self, new: Claim, old: Claim) -> None:
        pair = (old, new) if new.record else (new, old)
        if new.mark.amount == old.mark.amount:
            self.weight *= ODDS.sides
            self.slips.append((SlipKind.SIDES, pair))
        elif new.mark.side is not old.mark.side:
            self.weight = 0.0
        else:
            is_free_throw = 1 in (new.mark.amount, old.mark.amount)
            self.weight *= ODDS.points_of_a_free_throw if is_free_throw else ODDS.points
            self.slips.append((SlipKind.POINTS, pair))

    def likely(self, now_s: float) -> float:
        """Given too that nothing more has come up to now: summed over what may be."""
        total = self.weight
        for record in (0, 1):
            queue = [(w, n) for w, n in self.waiting if w.record == record]
            total *= sum(
                self._chain(queue, missing, now_s)
                for missing in product((True, False), repeat=len(queue))
            )
        return total

    def _chain(
        self, queue: list[tuple[Claim, int]], missing: tuple[bool, ...], now_s: float
    ) -> float:
        overtaking, result, is_first = self.habits.overtaking, 1.0, True
        for (one, times), is_missing in zip(queue, missing, strict=True):
            if is_missing:
                result *= ODDS.missing
                continue
            order = overtaking * 0.5 ** (times - 1) if times else 1.0
            survival = self.habits.survival(one, now_s)
            if not is_first:
                survival = (1 - overtaking) + overtaking * survival
            result *= (1 - ODDS.missing) * order * survival
            is_first = False
        return result

    @property
    def open_part(self) -> object:
        return (
            tuple((w.number, n) for w, n in self.waiting),
            tuple((kind, tuple(c.number for c in group)) for kind, group in self.slips),
        )


def all_alignments(claims: list[Claim]) -> list[Alignment]:
    """Every sequence of choices, each walked from the start."""
    paths: list[list[int]] = [[]]
    for depth in range(len(claims)):
        longer = []
        for path in paths:
            end = walked(claims, path)
            longer += [[*path, i] for i in range(len(end.choices(claims[depth])))]
        paths = longer
    return [walked(claims, path) for path in paths]


def walked(claims: list[Claim], path: list[int]) -> Alignment:
    alignment = Alignment(Habits(PAIR))
    for one, choice in zip(claims, path, strict=False):
        alignment.take(one, alignment.choices(one)[choice])
    return alignment


def open_part(one: Explanation) -> object:
    return (
        tuple((w.claim.number, w.overtaken) for w in one.waiting),
        tuple((s.kind, tuple(c.number for c in s.claims)) for s in one.slips),
    )


@pytest.mark.usefixtures("keep_all")
@pytest.mark.parametrize("seed", range(25))
def test_it_is_the_sum_over_all_alignments_of_a_small_window(seed: int) -> None:
    claims = window(Random(seed), 5)
    found = explained(claims)
    now_s = claims[-1].at_s + 3.0
    found.weigh(now_s)
    expected: dict[object, float] = {}
    for alignment in all_alignments(claims):
        likely = alignment.likely(now_s)
        if likely > 0.0:
            key = alignment.open_part
            expected[key] = expected.get(key, 0.0) + likely
    total = sum(expected.values())
    mine = sum(one.likely for one in found.all)
    shares = {open_part(one): one.likely / mine for one in found.all}
    assert shares.keys() == expected.keys()
    for key, likely in expected.items():
        assert shares[key] == pytest.approx(likely / total, rel=1e-9)


@pytest.mark.usefixtures("keep_all")
@pytest.mark.parametrize("seed", range(25))
def test_the_likeliest_explanation_holds_the_cheapest_alignment_of_its_kind(
    seed: int,
) -> None:
    claims = window(Random(1_000 + seed), 5)
    found = explained(claims)
    best = max(found.all, key=lambda one: one.likely)
    alike = [
        alignment
        for alignment in all_alignments(claims)
        if alignment.open_part == open_part(best) and alignment.weight > 0.0
    ]
    cheapest = min(alike, key=lambda alignment: -log(alignment.weight))
    assert set(best.pairs) == set(cheapest.pairs)


@pytest.mark.usefixtures("keep_all")
@pytest.mark.parametrize("seed", range(20))
def test_it_is_the_assignment_of_scipy_where_only_lags_count(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """`scipy.optimize.linear_sum_assignment` (SciPy) on the logarithms of the lags.

    Like acts only, as many in each record, and no order, pace or possession to mind.
    """
    monkeypatch.setattr(Habits, "overtaking", property(lambda _: 1.0))
    monkeypatch.setattr(module, "OVERTAKEN_AGAIN", 1.0)
    monkeypatch.setattr(module, "BUNCHED_S", 0.0)
    monkeypatch.setattr(module, "AGAIN_S", 0.0)
    random = Random(seed)
    size = 4
    places = sorted((random.uniform(100.0, 112.0), i % 2) for i in range(2 * size))
    claims = [
        claim(number, record, at_s, HOME, 2)
        for number, (at_s, record) in enumerate(places)
    ]
    habits = Habits(PAIR)
    book, board = ([c for c in claims if c.record == record] for record in (0, 1))
    cost = np.array([[pair_cost(habits, b, c) for c in board] for b in book])
    rows, columns = linear_sum_assignment(cost)
    found = explained(claims)
    (paired,) = (one for one in found.all if not one.waiting and not one.slips)
    assert sum(pair_cost(habits, b, c) for b, c in paired.pairs) == pytest.approx(
        cost[rows, columns].sum()
    )


def pair_cost(habits: Habits, book: Claim, board: Claim) -> float:
    first, second = sorted((book, board), key=lambda one: one.number)
    return -log(max(habits.density(first, second.at_s), 1e-300))


def test_what_is_open_stays_small_however_long_the_game() -> None:
    random = Random(7)
    found, number, at_s = Explanations(Habits(PAIR)), 0, 100.0
    sizes = []
    for _ in range(500):
        at_s += random.uniform(8.0, 30.0)
        side, points = random.choice((HOME, AWAY)), random.choice((1, 2, 3))
        for record, lag_s in ((1, 1.2), (0, 2.4)):
            one = claim(number, record, at_s + lag_s, side, points)
            found.add(one, 1.0, {})
            found.settled_pairs(one.at_s)
            number += 1
        sizes.append(len(found.all))
    assert max(sizes[-100:]) <= 2 * max(sizes[:100])
