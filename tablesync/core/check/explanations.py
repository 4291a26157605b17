"""The ways to explain two records, each with its likelihood, as far as they are open.

An explanation says of every unsettled claim whether it is one act with a claim of the
other record, a slip, or waits for its partner. A new claim makes of each explanation as
many as there are ways to understand it; explanations that leave the same open are added
up; what is too unlikely is dropped. While nothing is dropped this is the sum over all
alignments of the two records, and the likeliest is the least-cost alignment, a cost
being the negative logarithm of a likelihood.

The window stays small, since what every explanation agrees on is settled and leaves it:
so the cost for each entry does not grow with the game.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import exp
from typing import TYPE_CHECKING, NamedTuple

from tablesync.core.check.claims import Pace
from tablesync.core.check.slips import ODDS, Slip, SlipKind
from tablesync.core.check.waiting import Waiting, missed

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from tablesync.core.check.claims import Claim
    from tablesync.core.check.habits import Habits

__all__ = ["Explanation", "Explanations", "Healing", "Pair"]

RATE = {
    Pace.GOAL: 0.0045,
    Pace.FREE_THROW: 0.003,
    Pace.FOUL: 0.0043,
    Pace.TIME_OUT: 8e-4,
}
"""How many acts of a kind one team does in a second: some 25 goals, 15 free throws and
20 fouls a team, in a game that takes 90 minutes. The magnitude is what counts."""
THREE_RATE = 0.002
HARDLY = 0.02
"""What is left of a likelihood where the game does not allow an act."""
POSSESSION_S = 2.0
"""A team can't score or foul twice within this time."""
NEXT_THROW = 0.4
NEXT_THROW_S = (6.0, 8.0, 10.0, 12.0, 15.0)
"""Free throws come in twos and threes: how often a made one is followed by another that
is made, and so long after it, each as likely as the others."""
AGAIN_S = 3.0
AGAIN_USUAL_S, AGAIN_SPREAD_S = 0.9, 0.9
"""When a key is pressed for a second time after the first."""
OTHER_PLAYER = 0.02
"""How often a double entry names another player."""
BUNCHED_S = 8.0
BUNCHING_S = 1.2
"""An official who was held up enters what has gathered one by one, so fast."""
OVERTAKEN_AGAIN = 0.5
MOST_OVERTAKEN = 3
RECENT_S = 8.0

UNLIKELY = 1e-6
UNLIKELY_OLD = 1e-3
UNLIKELY_OLD_SLIP = 0.03
OLD_S = 20.0
NEGLIGIBLE = 1e-4
MOST = 150
"""Explanations are dropped below these shares of the likeliest, and above this many."""

Pair = tuple["Claim", "Claim"]
"""Two claims of one act, the first record's first."""


class Healing(NamedTuple):
    """A claim entered late puts right what was found missing."""

    lone: Claim
    late: Claim


@dataclass(slots=True, eq=False)
class Explanation:
    """One way to understand what is unsettled."""

    weight: float
    """Its likelihood by the entries, up to a factor that all share."""
    best: float
    """The likelihood of its likeliest alignment alone, whose pairs it has."""
    waiting: tuple[Waiting, ...]
    slips: tuple[Slip, ...] = ()
    healed: tuple[Healing, ...] = ()
    pairs: tuple[Pair, ...] = ()
    likely: float = 0.0
    """Its likelihood, given too that what it waits for has not come up to now."""
    missing: tuple[tuple[Claim, float], ...] = ()
    """Of what waits, the probability that it waits in vain."""

    def unsettled(self) -> Iterator[Claim]:
        """The claims that wait or are part of a slip."""
        yield from (waiting.claim for waiting in self.waiting)
        for slip in self.slips:
            yield from slip.claims

    def all_slips(self) -> dict[Slip, float]:
        """Its slips with their probabilities, those of what waits included."""
        vain = {
            Slip(SlipKind.MISSING, (claim,)): odds
            for claim, odds in self.missing
            if odds > NEGLIGIBLE
        }
        return {**vain, **dict.fromkeys(self.slips, 1.0)}


class Explanations:
    """All explanations that are worth keeping."""

    def __init__(self, habits: Habits) -> None:
        self._habits = habits
        self.all = [Explanation(1.0, 1.0, ())]
        self.lone: list[Claim] = []
        """What every explanation has found missing; a late entry may put it right."""
        self._last_s = [-99.0, -99.0]
        self._last_like: dict[tuple[int, str, str | None], Claim] = {}

    @property
    def likeliest(self) -> Explanation:
        """The likeliest of all; of equals the first."""
        return max(self.all, key=lambda one: one.likely)

    def add(self, claim: Claim, allowance: float, late: dict[Claim, float]) -> None:
        """Takes in the next claim, in the order of entry.

        Args:
            claim: the claim.
            allowance: how far the game allows a new act of this kind, 0 to 1.
            late: for claims that were found to lack their partner, the density with
                which it would be added now, per second.
        """
        grown = _Grown()
        coming = self._coming(claim)
        fresh = self._fresh(claim) * allowance
        for explanation in self.all:
            self._pair(grown, explanation, claim, coming, late)
            self._heal(grown, explanation, claim, late)
            self._repeat(grown, explanation, claim)
            self._begin(grown, explanation, claim, fresh)
        self.all = grown.explanations()
        self._last_s[claim.record] = claim.at_s
        self._last_like[claim.record, claim.mark.item, claim.mark.side] = claim
        self.weigh(claim.at_s)
        self.drop_unlikely(claim.at_s)

    def _coming(self, claim: Claim) -> dict[Claim, tuple[float, float]]:
        """For what may be its partner, the density of the claim as such, per second.

        The second figure is for an entry that was held up by the one before it.
        """
        habits, at_s = self._habits, claim.at_s
        before_s = self._last_s[claim.record]
        gap_s = at_s - before_s
        coming = {}
        for other in self.waiting():
            if other.record != claim.record and other.mark.item is claim.mark.item:
                held_up = 0.0
                if gap_s < BUNCHED_S and before_s > other.at_s:
                    due = 1.0 - habits.survival(other, before_s)
                    held_up = due * exp(-gap_s / BUNCHING_S) / BUNCHING_S
                alone = habits.density(other, at_s)
                left = other.still_coming
                coming[other] = (alone * left, held_up * left)
        return coming

    def _pair(
        self,
        grown: _Grown,
        one: Explanation,
        claim: Claim,
        coming: dict[Claim, tuple[float, float]],
        late: dict[Claim, float],
    ) -> None:
        for waiting in one.waiting:
            other = waiting.claim
            if other not in coming:
                continue
            kind, odds = self._likeness(claim, other)
            alone, held_up = coming[other]
            density = alone * self.order_factor(waiting.overtaken)
            if waiting.overtaken == 0:
                density += held_up
            if kind is None:
                density += late.get(other, 0.0)
            pair = (other, claim) if claim.record else (claim, other)
            slips = one.slips if kind is None else (*one.slips, Slip(kind, pair))
            left = tuple(
                _overtaken(w)
                if w.claim.number < other.number or w.claim.record == claim.record
                else w
                for w in one.waiting
                if w is not waiting
            )
            rest = left, slips, one.healed
            grown.put(one, odds * density, rest, (*one.pairs, pair))

    def _likeness(self, claim: Claim, other: Claim) -> tuple[SlipKind | None, float]:
        """What it would be if both were one act, and how likely that is."""
        care = self._habits.care
        if claim.is_like(other):
            return None, 1.0
        if claim.mark.amount == other.mark.amount:
            return SlipKind.SIDES, ODDS.sides * care
        if claim.mark.side is not other.mark.side:
            return SlipKind.POINTS, 0.0
        if 1 in (claim.mark.amount, other.mark.amount):
            return SlipKind.POINTS, ODDS.points_of_a_free_throw * care
        return SlipKind.POINTS, ODDS.points * care

    def _heal(
        self, grown: _Grown, one: Explanation, claim: Claim, late: dict[Claim, float]
    ) -> None:
        done = {healing.lone for healing in one.healed}
        for lone in self.lone:
            if lone in late and lone not in done:
                healed = (*one.healed, Healing(lone, claim))
                rest = (one.waiting, one.slips, healed)
                grown.put(one, late[lone], rest, one.pairs)

    def _repeat(self, grown: _Grown, one: Explanation, claim: Claim) -> None:
        before = self._before(claim)
        if before is None or before.mark.amount != claim.mark.amount:
            return
        gap_s = claim.at_s - before.at_s
        if gap_s >= AGAIN_S:
            return
        z = (gap_s - AGAIN_USUAL_S) / AGAIN_SPREAD_S
        odds = ODDS.twice * self._habits.care * exp(-z * z / 2.0)
        if before.player != claim.player:
            odds *= OTHER_PLAYER
        slip = Slip(SlipKind.TWICE, (before, claim))
        rest = (one.waiting, (*one.slips, slip), one.healed)
        grown.put(one, odds, rest, one.pairs)

    def _begin(
        self, grown: _Grown, one: Explanation, claim: Claim, fresh: float
    ) -> None:
        before = self._before(claim)
        if before is not None and claim.at_s - before.at_s < RECENT_S:
            fresh *= self._room(claim, before, one)
            if claim.pace is Pace.FREE_THROW:
                fresh += self._next_throw(claim, before, one)
        waiting = tuple(
            _overtaken(w) if w.claim.record != claim.record else w for w in one.waiting
        )
        rest = ((*waiting, Waiting(claim, 0)), one.slips, one.healed)
        grown.put(one, fresh, rest, one.pairs)

    def _fresh(self, claim: Claim) -> float:
        return THREE_RATE if claim.mark.amount == 3 else RATE[claim.pace]

    def _before(self, claim: Claim) -> Claim | None:
        return self._last_like.get((claim.record, claim.mark.item, claim.mark.side))

    def _room(self, claim: Claim, before: Claim, one: Explanation) -> float:
        """How likely a second act of a team was entered so soon after the first."""
        lag_s = claim.at_s - self._done_s(before, one) - POSSESSION_S
        return max(HARDLY, 1.0 - self._survival(claim, lag_s))

    def _next_throw(self, claim: Claim, before: Claim, one: Explanation) -> float:
        """The density of the next free throw of the same foul at that time.

        Who was held up until the one before enters the next at once.
        """
        gap_s, done_s = claim.at_s - before.at_s, self._done_s(before, one)
        bunching = exp(-gap_s / BUNCHING_S) / BUNCHING_S
        density = 0.0
        for after_s in NEXT_THROW_S:
            due = 1.0 - self._survival(claim, before.at_s - done_s - after_s)
            density += self._density(claim, claim.at_s - done_s - after_s)
            density += due * bunching
        return NEXT_THROW * density / len(NEXT_THROW_S)

    def _density(self, claim: Claim, lag_s: float) -> float:
        return self._habits.lags.lag_density(claim.record, claim.pace, lag_s)

    def _survival(self, claim: Claim, lag_s: float) -> float:
        return self._habits.lags.lag_survival(claim.record, claim.pace, lag_s)

    def _done_s(self, claim: Claim, one: Explanation) -> float:
        """When an act was done, judged by the likeliest alignment's pair too.

        This alone is judged by one alignment for all that leave the same open.
        """
        partner = claim.partner
        for pair in one.pairs:
            if claim in pair:
                partner = pair[1 - claim.record]
        known = (claim,) if partner is None else (claim, partner)
        lags = self._habits.lags
        return min(each.at_s - lags.median_s(each.record, each.pace) for each in known)

    def order_factor(self, overtaken: int) -> float:
        """How likely a seat still enters what it has gone past so many times."""
        if overtaken == 0:
            return 1.0
        return self._habits.overtaking * OVERTAKEN_AGAIN ** (overtaken - 1)

    def waiting(self) -> list[Claim]:
        """The claims that wait in any explanation, in order of entry."""
        claims = {w.claim: None for one in self.all for w in one.waiting}
        return sorted(claims, key=lambda claim: claim.number)

    def weigh(self, now_s: float) -> None:
        """Weighs every explanation as of now, when what it awaits has not come."""
        survivals: dict[Claim, float] = {}
        chance_missing = ODDS.missing * self._habits.care
        for one in self.all:
            likely = one.weight
            missing: tuple[tuple[Claim, float], ...] = ()
            for record in (0, 1):
                queue = [w for w in one.waiting if w.claim.record == record]
                if not queue:
                    continue
                for waiting in queue:
                    if waiting.claim not in survivals:
                        left = self._habits.survival(waiting.claim, now_s)
                        survivals[waiting.claim] = left
                factor, odds = missed(
                    [
                        (
                            self.order_factor(w.overtaken) * w.claim.still_coming,
                            survivals[w.claim],
                        )
                        for w in queue
                    ],
                    chance_missing,
                    self._habits.overtaking,
                )
                likely *= factor
                missing += tuple((w.claim, m) for w, m in zip(queue, odds, strict=True))
            one.likely, one.missing = likely, missing

    def drop_unlikely(self, now_s: float) -> None:
        """Drops what does not matter, and keeps weights near one."""
        most = max(one.likely for one in self.all)
        kept = [one for one in self.all if one.likely >= most * _least(one, now_s)]
        kept.sort(key=lambda one: -one.likely)
        del kept[MOST:]
        for one in kept:
            one.weight /= most
            one.best /= most
            one.likely /= most
        self.all = kept

    def settled_pairs(self, now_s: float) -> tuple[Pair, ...]:
        """Takes out the pairs that every explanation has."""
        common = set(self.all[0].pairs)
        for one in self.all[1:]:
            common.intersection_update(one.pairs)
            if not common:
                return ()
        ripe = [
            pair
            for pair in common
            if len(self.all) == 1 or now_s - max(claim.at_s for claim in pair) >= RIPE_S
        ]
        ripe.sort(key=lambda pair: pair[0].number)
        gone = set(ripe)
        for one in self.all:
            if gone.intersection(one.pairs):
                one.pairs = tuple(pair for pair in one.pairs if pair not in gone)
        return tuple(ripe)

    def passed(self, record: int, at_s: float) -> None:
        """Takes in that a seat entered something that has no like in the other record.

        What has waited longest for that seat, if it is long due, will hardly come any
        more. Of what waits behind it nothing follows: a seat that was held up enters
        older things first.
        """
        overtaking = self._habits.overtaking
        oldest = next((c for c in self.waiting() if c.record != record), None)
        if oldest is not None:
            left = self._habits.survival(oldest, at_s)
            chance = left + overtaking * (1 - left)
            oldest.still_coming = min(oldest.still_coming, chance)
        self._last_s[record] = at_s

    def last_s(self, record: int) -> float:
        """When that seat last entered anything."""
        return self._last_s[record]

    def settle_missing(self, claim: Claim, now_s: float) -> None:
        """Goes on with the explanations in which the claim's partner never comes."""

        def view(one: Explanation) -> Explanation | None:
            rest = tuple(w for w in one.waiting if w.claim is not claim)
            return None if len(rest) == len(one.waiting) else replace(one, waiting=rest)

        if self.restrict(view, now_s):
            self.lone.append(claim)

    def take_likeliest(self) -> None:
        """Drops all explanations but the likeliest."""
        self.all = [self.likeliest]

    def unmatched(self) -> list[Claim]:
        """What the likeliest explanation leaves without a partner, in order of entry.

        A second press is among it: if the first is struck, it takes its place.
        """
        likeliest = self.likeliest
        claims = [w.claim for w in likeliest.waiting] + self.lone
        claims += [
            slip.claims[1] for slip in likeliest.slips if slip.kind is SlipKind.TWICE
        ]
        return sorted(claims, key=lambda claim: claim.number)

    def put_waiting(self, claim: Claim, now_s: float) -> None:
        """Lets a claim wait in every explanation."""

        def view(one: Explanation) -> Explanation:
            return replace(one, waiting=(*one.waiting, Waiting(claim, 0)))

        self.restrict(view, now_s)

    def match(self, claim: Claim, other: Claim, now_s: float) -> None:
        """Goes on with the explanations in which both can be one act, as one act."""

        def view(one: Explanation) -> Explanation | None:
            here = {w.claim for w in one.waiting} | set(self.lone)
            slips = tuple(
                slip
                for slip in one.slips
                if not (
                    slip.kind is SlipKind.TWICE and slip.claims[1] in (claim, other)
                )
            )
            if not {claim, other} <= here and len(slips) == len(one.slips):
                return None
            waiting = tuple(w for w in one.waiting if w.claim not in (claim, other))
            return replace(one, waiting=waiting, slips=slips)

        self.restrict(view, now_s)
        self.lone = [lone for lone in self.lone if lone not in (claim, other)]

    def withdraw(self, claim: Claim, now_s: float) -> list[Claim]:
        """Takes a claim out of every explanation.

        Returns:
            What was matched with it in the likeliest explanation and is matched with
            nothing now; it is taken out as well.
        """
        likeliest = self.likeliest
        loose = _beside(claim, likeliest)
        gone = {claim, *loose}

        self.restrict(lambda one: _without(one, gone), now_s)
        self.lone = [lone for lone in self.lone if lone not in gone]
        return loose

    def decide(self, healing: Healing, now_s: float) -> bool:
        """Goes on as the likelier half of the explanations has it.

        Returns:
            Whether the late claim put the finding right.
        """
        healed = sum(one.likely for one in self.all if healing in one.healed)
        everything = sum(one.likely for one in self.all)
        is_right = healed > everything / 2

        def view(one: Explanation) -> Explanation | None:
            if (healing in one.healed) is not is_right:
                return None
            return replace(
                one, healed=tuple(other for other in one.healed if other != healing)
            )

        self.restrict(view, now_s)
        if is_right:
            self.lone = [lone for lone in self.lone if lone is not healing.lone]
        return is_right

    def restrict(
        self, view: Callable[[Explanation], Explanation | None], now_s: float
    ) -> bool:
        """Goes on with what is left of each explanation, where anything is left.

        Args:
            view: gives the explanation as it is after what became known, or None where
                that contradicts it.
            now_s: the time as of which they are weighed again.

        Returns:
            Whether any explanation agreed with it; if none did, all stay as they were.
        """
        grown = _Grown()
        for one in self.all:
            left = view(one)
            if left is not None:
                rest = left.waiting, left.slips, left.healed
                grown.put(left, 1.0, rest, left.pairs)
        if grown.is_empty:
            return False
        self.all = grown.explanations()
        self.weigh(now_s)
        self.drop_unlikely(now_s)
        return True


RIPE_S = 1.0
"""Pairs are learned from a little later, when nothing speaks for another one."""


_Rest = tuple[tuple[Waiting, ...], tuple[Slip, ...], tuple[Healing, ...]]
"""What an explanation leaves open."""


class _Grown:
    """Explanations by what they leave open; likelihoods of the same are added up."""

    def __init__(self) -> None:
        self._all: dict[_Rest, Explanation] = {}

    @property
    def is_empty(self) -> bool:
        return not self._all

    def put(
        self, before: Explanation, factor: float, rest: _Rest, pairs: tuple[Pair, ...]
    ) -> None:
        """Adds a way to come to the rest; the likeliest way gives the pairs."""
        weight, best = before.weight * factor, before.best * factor
        if weight <= 0.0:
            return
        known = self._all.get(rest)
        if known is None:
            self._all[rest] = Explanation(weight, best, *rest, pairs)
            return
        known.weight += weight
        if best > known.best:
            known.best, known.pairs = best, pairs

    def explanations(self) -> list[Explanation]:
        return list(self._all.values())


def _beside(claim: Claim, one: Explanation) -> list[Claim]:
    """The claims that an explanation joins with a claim, in order of entry."""
    joined = [other for pair in one.pairs if claim in pair for other in pair]
    joined += [other for healing in one.healed if claim in healing for other in healing]
    joined += [
        other for slip in one.slips if claim in slip.claims for other in slip.claims
    ]
    return sorted(set(joined) - {claim}, key=lambda other: other.number)


def _without(one: Explanation, gone: set[Claim]) -> Explanation:
    """An explanation of the other claims; those joined with what is gone wait."""
    joined = (*one.pairs, *(slip.claims for slip in one.slips), *one.healed)
    left = {
        claim: None
        for group in joined
        if gone.intersection(group)
        for claim in group
        if claim not in gone
    }
    return replace(
        one,
        waiting=(
            *(w for w in one.waiting if w.claim not in gone),
            *(Waiting(claim, 0) for claim in left),
        ),
        slips=tuple(s for s in one.slips if not gone.intersection(s.claims)),
        healed=tuple(h for h in one.healed if not gone.intersection(h)),
        pairs=tuple(p for p in one.pairs if not gone.intersection(p)),
    )


def _overtaken(waiting: Waiting) -> Waiting:
    return Waiting(waiting.claim, min(MOST_OVERTAKEN, waiting.overtaken + 1))


def _least(one: Explanation, now_s: float) -> float:
    """The share of the likeliest below which an explanation is dropped."""
    if one.waiting and now_s - one.waiting[0].claim.at_s > OLD_S:
        return UNLIKELY_OLD
    if one.slips and now_s - one.slips[0].claims[-1].at_s > OLD_S:
        return UNLIKELY_OLD_SLIP
    return UNLIKELY
