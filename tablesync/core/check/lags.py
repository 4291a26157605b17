"""How long after an act an official enters it, learned while the game goes on.

An act is done at a moment that nobody records; each seat enters it some lag later, and
only the difference of the two lags is seen. A lag is mostly log-normal; a few are those
of an official who was held up, and lie in a narrow band far out (stragglers).

What is unknown is learned by conjugate updates from matched pairs: for each pair the
hidden moment is spread over a grid in proportion to its probability, and what each
seat's lag would have been there counts with that weight. Whether there are stragglers
at all is a question of its own, weighed as one model against another. So an outlier
counts as a straggler and leaves the ordinary lag as it is.

Times are in seconds. The priors are common practice, no source.
"""

from __future__ import annotations

from dataclasses import field
from functools import lru_cache
from math import erfc, exp, lgamma, log, pi, sqrt
from typing import NamedTuple

from tablesync.core.acts import Seat
from tablesync.core.check.claims import Pace
from tablesync.frozen import dataclass

__all__ = ["SPREAD", "Lags"]

ROOT_2 = sqrt(2.0)
ROOT_2PI = sqrt(2.0 * pi)

NODES = tuple(-3.0 + 0.5 * i for i in range(13))
"""Where a log-normal lag is sampled, in standard deviations."""
_DENSITY = tuple(exp(-z * z / 2.0) for z in NODES)
NODE_WEIGHTS = tuple(d / sum(_DENSITY) for d in _DENSITY)
BAND_NODES = (-0.75, -0.25, 0.25, 0.75)
"""Where the stragglers' band is sampled, in half widths."""

GRID_S = (
    0.05, 0.2, 0.4, 0.65, 0.95, 1.3, 1.7, 2.2, 2.8, 3.5, 4.3, 5.3, 6.5, 8.0, 10.0, 12.0,
    14.5, 18.0,
)  # fmt: skip
"""How long before the earlier entry of a pair its act may have been done."""
_EDGES = (0.0, *GRID_S, GRID_S[-1])
GRID_WEIGHTS = tuple((b - a) / 2.0 for a, b in zip(_EDGES, _EDGES[2:], strict=False))

MEDIAN_S = {Seat.BOOK: 2.4, Seat.CLOCK: 1.5, Seat.VISITING: 2.4}
MEDIAN_WORTH = 6.0
"""How many pairs the prior median is worth."""
SPREAD = 0.5
"""The deviation of the logarithms of a regular official's lags."""
SPREAD_WORTH = 3.0
PACE_WORTH = 6.0
"""How many pairs the seat's median is worth against that of one kind of act."""

REGULAR = 0.47
REGULAR_POWER = 14.0
"""At this spread it is even odds that a table has no stragglers at all; officials who
enter more regularly hardly have any."""
LATE = 0.03
MOST_LATE = 0.1
IRREGULAR = 6.0
"""The prior share of stragglers, at the prior spread; who enters irregularly is also
held up more often, by this power of the spread."""
PUNCTUAL = 40.0
"""How many punctual entries the prior share is worth."""
OTHERWISE = 2e-4
"""The density, per second, of a pair that says nothing of the officials: one entered
after a question, or joined by mistake. A pair so far out hardly counts."""
FREAK = 3e-4
"""The share of very late entries at a table without stragglers."""
BAND_MEAN_S = 11.5
BAND_SPREAD_S = 1.6
BAND_WORTH = 6.0
BAND_BLUR_S = 0.2
EDGE = 0.5
"""How uncertain the band's edges are, against its mean: each late entry bounds them."""

STEP_S = 0.1
"""To this step survival is kept, since the same times are asked for again and again."""
EAGER_PAIRS = 30
PATIENT_PAIRS = 5
"""While few pairs are known every pair refreshes the lags; later every fifth does."""


@dataclass(slots=True)
class _Sums:
    """Weighted sums over logarithms of lags."""

    weight: float = 0.0
    first: float = 0.0
    second: float = 0.0

    def add(self, weight: float, value: float) -> None:
        self.weight += weight
        self.first += weight * value
        self.second += weight * value * value


class _Band(NamedTuple):
    """Where the stragglers of a table lie."""

    odds: float
    """The probability that there are any."""
    prior: float
    """How many there were before the game, so to say, for so many punctual entries."""
    mean_s: float
    half_s: float
    blur_s: float


@dataclass(frozen=True, slots=True)
class _Lag:
    """The lag of one seat for one kind of act."""

    log_median: float
    spread: float
    share: float
    """Of stragglers."""
    low_s: float
    high_s: float
    blur_s: float

    def parts(self, lag_s: float) -> tuple[float, float]:
        """The density of an ordinary and of a straggling entry with that lag."""
        if lag_s <= 0.0:
            return 0.0, 0.0
        z = (log(lag_s) - self.log_median) / self.spread
        ordinary = exp(-z * z / 2.0) / (lag_s * self.spread * ROOT_2PI)
        blur = self.blur_s * ROOT_2
        inside = erfc((lag_s - self.high_s) / blur) - erfc((lag_s - self.low_s) / blur)
        width = self.high_s - self.low_s
        return (1.0 - self.share) * ordinary, self.share * 0.5 * inside / width

    def density(self, lag_s: float) -> float:
        ordinary, straggling = self.parts(lag_s)
        return ordinary + straggling

    def survival(self, lag_s: float) -> float:
        """The probability of a longer lag."""
        if lag_s <= 0.0:
            return 1.0
        z = (log(lag_s) - self.log_median) / self.spread
        ordinary = (1.0 - self.share) * 0.5 * erfc(z / ROOT_2)
        if lag_s < self.low_s - 4.0 * self.blur_s:
            return ordinary + self.share
        if lag_s > self.high_s + 6.0 * self.blur_s:
            return ordinary
        passed = self._area(lag_s - self.low_s) - self._area(lag_s - self.high_s)
        left = 1.0 - passed / (self.high_s - self.low_s)
        return ordinary + self.share * max(0.0, left)

    def _area(self, y: float) -> float:
        """The integral of the blurred edge up to y."""
        z = y / self.blur_s
        return y * 0.5 * erfc(-z / ROOT_2) + self.blur_s * exp(-z * z / 2.0) / ROOT_2PI

    def nodes(self) -> tuple[tuple[float, float], ...]:
        """Lags and weights to sum over."""
        ordinary = (
            (exp(self.log_median + self.spread * z), weight * (1.0 - self.share))
            for z, weight in zip(NODES, NODE_WEIGHTS, strict=True)
        )
        middle, half = (self.low_s + self.high_s) / 2, (self.high_s - self.low_s) / 2
        straggling = (
            (middle + half * z, self.share / len(BAND_NODES)) for z in BAND_NODES
        )
        return (*ordinary, *straggling)


@lru_cache(maxsize=8_192)
def _survival(own: _Lag, other: _Lag, steps: int) -> float:
    """The probability that the seat's entry comes later than so many steps.

    Kept for all comparisons in the process: where several hold one game, or the same
    entries are judged again, all ask for the same.
    """
    return sum(
        weight * own.survival(steps * STEP_S + other_s)
        for other_s, weight in _nodes(other)
    )


@lru_cache(maxsize=256)
def _nodes(lag: _Lag) -> tuple[tuple[float, float], ...]:
    return lag.nodes()


class _SeatLags:
    """What is known of one seat."""

    def __init__(self, seat: Seat) -> None:
        self._prior = log(MEDIAN_S[seat])
        self._all = _Sums()
        self._by_pace = {pace: _Sums() for pace in Pace}
        self.late = _Sums()
        self.pairs = 0.0
        self.lags: dict[Pace, _Lag] = {}

    def add(self, pace: Pace, weight: float, lag_s: float, ordinary: float) -> None:
        """Counts a possible lag: so much of it as an ordinary one, the rest as late."""
        value = log(lag_s)
        for sums in (self._all, self._by_pace[pace]):
            sums.add(weight * ordinary, value)
        self.late.add(weight * (1.0 - ordinary), lag_s)

    def _centre(self) -> float:
        worth = self._all.weight + MEDIAN_WORTH
        return (self._all.first + MEDIAN_WORTH * self._prior) / worth

    def variance(self) -> float:
        """Of the logarithms of ordinary lags."""
        known, centre = self._all, self._centre()
        squares = known.second - 2.0 * centre * known.first
        squares += known.weight * centre * centre
        return (SPREAD_WORTH * SPREAD**2 + squares) / (SPREAD_WORTH + known.weight)

    def refresh(self, band: _Band) -> None:
        """Draws the conclusions from what was counted."""
        worth = self._all.weight + MEDIAN_WORTH
        centre, variance = self._centre(), self.variance()
        late = band.prior + self.late.weight
        share = late / (band.prior + PUNCTUAL + self.pairs)
        share = band.odds * share + (1.0 - band.odds) * FREAK
        for pace, sums in self._by_pace.items():
            known = sums.weight + PACE_WORTH
            self.lags[pace] = _Lag(
                log_median=(sums.first + PACE_WORTH * centre) / known,
                spread=sqrt(max(variance, 0.02) * (1.0 + 1.0 / known + 1.0 / worth)),
                share=share,
                low_s=band.mean_s - band.half_s,
                high_s=band.mean_s + band.half_s,
                blur_s=band.blur_s,
            )


@dataclass(slots=True)
class Lags:
    """The lags of two seats, the first and the second of a comparison."""

    seats: tuple[Seat, Seat]
    _known: tuple[_SeatLags, _SeatLags] = field(init=False)
    _pairs: int = field(init=False, default=0)

    def __post_init__(self) -> None:
        self._known = (_SeatLags(self.seats[0]), _SeatLags(self.seats[1]))
        self._refresh()

    @property
    def spread(self) -> float:
        """How irregularly the two enter: the deviation of the logarithms of lags."""
        first, second = self._known
        return sqrt((first.variance() + second.variance()) / 2.0)

    def median_s(self, record: int, pace: Pace) -> float:
        """How long that seat usually takes."""
        return exp(self._known[record].lags[pace].log_median)

    def lag_density(self, record: int, pace: Pace, lag_s: float) -> float:
        """The density of that lag, per second."""
        return self._known[record].lags[pace].density(lag_s)

    def lag_survival(self, record: int, pace: Pace, lag_s: float) -> float:
        """The probability that the seat takes longer."""
        return self._known[record].lags[pace].survival(lag_s)

    def density(self, record: int, pace: Pace, later_s: float) -> float:
        """The density of the seat's entry so long after the other seat's, per second.

        Negative where the seat was the first to enter the act.
        """
        lag = self._known[record].lags[pace]
        return sum(
            weight * lag.density(later_s + other_s)
            for other_s, weight in _nodes(self._known[1 - record].lags[pace])
        )

    def survival(self, record: int, pace: Pace, later_s: float) -> float:
        """The probability that the seat's entry comes later still."""
        own, other = self._known[record], self._known[1 - record]
        return _survival(own.lags[pace], other.lags[pace], round(later_s / STEP_S))

    def learn(self, pace: Pace, later_s: float) -> None:
        """Takes in a matched pair: the second seat entered it so long after the first.

        Negative where the second seat was first.
        """
        first, second = self._known
        spread, total = [], 0.0
        for before_s, width in zip(GRID_S, GRID_WEIGHTS, strict=True):
            second_s = max(0.0, later_s) + before_s
            first_s = second_s - later_s
            ordinary2, late2 = second.lags[pace].parts(second_s)
            ordinary1, late1 = first.lags[pace].parts(first_s)
            both = (ordinary1 + late1) * (ordinary2 + late2)
            if both > 0.0:
                chance = width * both
                total += chance
                spread.append(
                    (
                        chance,
                        (first_s, ordinary1 / (ordinary1 + late1)),
                        (second_s, ordinary2 / (ordinary2 + late2)),
                    )
                )
        total += OTHERWISE
        for chance, of_first, of_second in spread:
            first.add(pace, chance / total, *of_first)
            second.add(pace, chance / total, *of_second)
        usual = 1.0 - OTHERWISE / total
        first.pairs += usual
        second.pairs += usual
        self._pairs += 1
        if self._pairs < EAGER_PAIRS or self._pairs % PATIENT_PAIRS == 0:
            self._refresh()

    def _refresh(self) -> None:
        band = self._band()
        for known in self._known:
            known.refresh(band)

    def _band(self) -> _Band:
        """Whether there are stragglers, and where: both seats together tell it."""
        first, second = self._known
        late = first.late.weight + second.late.weight
        total = first.late.first + second.late.first
        squares = first.late.second + second.late.second
        worth = BAND_WORTH + late
        mean_s = (BAND_WORTH * BAND_MEAN_S + total) / worth
        variance = (
            BAND_WORTH * (BAND_SPREAD_S**2 + (mean_s - BAND_MEAN_S) ** 2)
            + squares
            - 2.0 * mean_s * total
            + late * mean_s * mean_s
        ) / worth
        variance = max(0.5, variance)
        spread = self.spread
        prior = PUNCTUAL * min(MOST_LATE, LATE * (spread / SPREAD) ** IRREGULAR)
        return _Band(
            odds=_straggler_odds(
                (REGULAR / spread) ** REGULAR_POWER,
                prior,
                late,
                first.pairs + second.pairs,
            ),
            prior=prior,
            mean_s=mean_s,
            half_s=sqrt(3.0 * variance),
            blur_s=sqrt(BAND_BLUR_S**2 + EDGE * variance / worth),
        )


def _straggler_odds(none: float, prior: float, late: float, pairs: float) -> float:
    """The probability that a table with so many late entries has stragglers.

    Args:
        none: the prior odds that it has none.
        prior: its stragglers before the game, for `PUNCTUAL` punctual entries.
        late: the late entries seen.
        pairs: all entries seen.
    """
    some = _log_beta(prior + late, PUNCTUAL + pairs - late)
    some -= _log_beta(prior, PUNCTUAL)
    no_one = late * log(FREAK) + (pairs - late) * log(1.0 - FREAK)
    ratio = exp(max(-60.0, min(60.0, some - no_one))) / none
    return ratio / (1.0 + ratio)


def _log_beta(a: float, b: float) -> float:
    return lgamma(a) + lgamma(b) - lgamma(a + b)
