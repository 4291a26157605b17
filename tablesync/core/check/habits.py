"""What a comparison learns of the two officials while the game goes on."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from tablesync.core.check.claims import Pace, Whistle
from tablesync.core.check.lags import Lags

if TYPE_CHECKING:
    from tablesync.core.acts import Seat
    from tablesync.core.check.claims import Claim

__all__ = ["Habits"]

SLIPS_A_PAIR = 0.03
"""How many slips are found for each matched pair at an ordinary table."""
SLIPS_WORTH = 0.5
"""How many found slips the prior odds are worth."""
OVERTAKEN = 0.2
CHANCES = 10.0
"""An official seldom enters a later act before an earlier one; prior counts."""
WHISTLE_S = {Pace.FOUL: 1.5, Pace.TIME_OUT: 1.0}
"""From the clock's stop to the moment from which the officials' lags run."""
WHISTLE_WORTH = 4.0
LONGEST_WHISTLE_S = 5.0
LATEST_S = 40.0
"""Nobody enters an act later than this, however much has gathered; a seat that enters
nothing any more must not keep everything waiting."""
STOP_BELONGS = 0.98
"""The share of fouls and time-outs that belong to the clock's last stop."""
STOP_SPAN_S = 20.0
OTHERWISE_S = 20.0


@dataclass(slots=True)
class _Mean:
    total: float
    count: float

    def add(self, value: float) -> None:
        self.total += value
        self.count += 1.0

    @property
    def value(self) -> float:
        return self.total / self.count


@dataclass(slots=True)
class Habits:
    """The lags of two seats, how often they slip, and how orderly they enter."""

    seats: tuple[Seat, Seat]
    lags: Lags = field(init=False)
    _slips: float = field(init=False, default=0.0)
    _pairs: float = field(init=False, default=0.0)
    _overtaken: float = field(init=False)
    _chances: float = field(init=False)
    _whistle_s: dict[Pace, _Mean] = field(init=False)
    _last: tuple[Claim, Claim] | None = field(init=False, default=None)

    def __post_init__(self) -> None:
        self.lags = Lags(self.seats)
        self._overtaken, self._chances = OVERTAKEN, CHANCES
        self._whistle_s = {
            pace: _Mean(delay * WHISTLE_WORTH, WHISTLE_WORTH)
            for pace, delay in WHISTLE_S.items()
        }

    @property
    def care(self) -> float:
        """How often these officials slip, against the prior odds of a slip."""
        expected = SLIPS_WORTH + SLIPS_A_PAIR * self._pairs
        return (SLIPS_WORTH + self._slips) / expected

    @property
    def overtaking(self) -> float:
        """How likely an entry comes after a later act of its seat, where it could."""
        return self._overtaken / self._chances

    def whistle(self, claim: Claim, stop_s: float) -> Whistle | None:
        """The stop at that time as the one of the claim's act, if it can be."""
        delay = self._whistle_s.get(claim.pace)
        if delay is None or claim.at_s - stop_s > STOP_SPAN_S:
            return None
        done_s = stop_s + delay.value
        lag_s = claim.at_s - done_s
        likely = STOP_BELONGS * self.lags.lag_density(claim.record, claim.pace, lag_s)
        return Whistle(done_s, likely / (likely + (1 - STOP_BELONGS) / OTHERWISE_S))

    def survival(self, claim: Claim, now_s: float) -> float:
        """The probability that the claim's partner comes later than now, if at all."""
        if now_s - claim.at_s > LATEST_S:
            return 0.0
        other, pace = 1 - claim.record, claim.pace
        left = self.lags.survival(other, pace, now_s - claim.at_s)
        whistle = claim.whistle
        if whistle is None:
            return left
        by_stop = self.lags.lag_survival(other, pace, now_s - whistle.at_s)
        return (1 - whistle.odds) * left + whistle.odds * by_stop

    def density(self, claim: Claim, at_s: float) -> float:
        """The density of the claim's partner at that time, per second."""
        other, pace = 1 - claim.record, claim.pace
        likely = self.lags.density(other, pace, at_s - claim.at_s)
        whistle = claim.whistle
        if whistle is None:
            return likely
        by_stop = self.lags.lag_density(other, pace, at_s - whistle.at_s)
        return (1 - whistle.odds) * likely + whistle.odds * by_stop

    def slipped(self) -> None:
        """Takes in that a slip was found."""
        self._slips += 1.0

    def matched(self, first: Claim, second: Claim) -> None:
        """Takes in that two like claims were one act."""
        self._pairs += 1.0
        self._learn_whistle(first, second)
        self._learn_order(first, second)
        self.lags.learn(first.pace, second.at_s - first.at_s)

    def _learn_whistle(self, first: Claim, second: Claim) -> None:
        earlier = min(first, second, key=lambda claim: claim.at_s)
        whistle = earlier.whistle
        if whistle is None or whistle.odds <= 0.5:
            return
        delay = self._whistle_s[first.pace]
        for claim in (first, second):
            lag_s = claim.at_s - whistle.at_s
            beyond_s = lag_s - self.lags.median_s(claim.record, claim.pace)
            delay.add(min(LONGEST_WHISTLE_S, max(0.0, delay.value + beyond_s)))

    def _learn_order(self, first: Claim, second: Claim) -> None:
        before, self._last = self._last, (first, second)
        if before is None:
            return
        first0, second0 = before
        self._chances += self.survival(first0, second.at_s)
        self._chances += self.survival(second0, first.at_s)
        if (first0.at_s - first.at_s) * (second0.at_s - second.at_s) < 0.0:
            self._overtaken += 1.0
