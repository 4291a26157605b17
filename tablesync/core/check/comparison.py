"""Compares two records act by act, and says when a slip is far likelier than a delay.

Time runs in ticks, whatever the steps in which it is moved on: so everyone who has the
same entries comes to the same findings at the same times.
"""

from __future__ import annotations

from dataclasses import replace
from enum import Enum
from math import exp, log
from typing import TYPE_CHECKING, NamedTuple

from tablesync.core.check.claims import Pace
from tablesync.core.check.explanations import Explanation, Explanations
from tablesync.core.check.habits import Habits
from tablesync.core.check.lags import SPREAD
from tablesync.core.check.slips import Slip, SlipKind, Trouble
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from tablesync.core.acts import Seat
    from tablesync.core.check.claims import Claim

__all__ = ["CheckSettings", "Comparison", "News", "Suspicion", "Turn"]

TICK_MS = 250
LOOK_AHEAD_TICKS = (16, 4)
"""How far the next look may be put off while nothing can come of it."""
OVERDUE_S = 30.0
"""After so long the likeliest explanation is taken, however many there are."""
SETTLED_MS = 30_000
"""After so long a finding stands, and what else it might have been is forgotten."""
DECIDED_S = 20.0
"""After so long it is decided whether a late entry put a finding right."""

NEAR_S = 60.0
"""A correction belongs to an act of the other record within this time."""

BUSY_S = 1.5
"""An official who has just entered something may be about to enter the next thing."""

PUT_RIGHT = 0.5
PUT_RIGHT_S = 12.0
PUT_RIGHT_LATEST_S = 30.0
"""How an official adds what was found missing while the ball is live: half do, soon."""
PUT_RIGHT_AT_REST = 0.02
"""Per second: a field goal that is entered while the clock stands was made before.

Otherwise a lone entry that comes later is taken for a slip of its own: so slips that
cancel in the total are told apart. An addition by the card's key is a correction, which
says itself where it belongs.
"""
AT_REST_S = 12.0
NOT_IN_PLAY = 0.02
"""How likely a field goal was made after all, while the clock stood all the time."""


@dataclass(frozen=True, slots=True)
class CheckSettings:
    """When the check speaks up."""

    least_odds: float = 0.5
    """A finding is at least so probable when it is raised."""
    least_share: float = 0.8
    """Its cause has at least this share of what may be wrong with its item."""
    alarm_s: float = 12.0
    """How many seconds of delay are as bad as one false alarm, at a regular table."""
    gone_odds: float = 0.7
    """A finding is cleared when it is so probable that it is none any more."""
    revised_odds: float = 0.9
    """A finding is revised when another explanation is so probable."""


IRREGULAR = 1.5
"""Where officials enter irregularly every finding comes late; so as not to come later
still, an alarm counts for less there, by this power of their spread."""
WAITS_S = (0.5, 1.5, 4.0, 8.0)
"""How long waiting may go on; for each it is asked whether it would be worth it."""


@dataclass(slots=True, eq=False)
class Suspicion:
    """A finding in the making: a slip that was raised."""

    slip: Slip
    claim: Claim
    """The earliest claim concerned when it was raised, which names the finding."""
    raised_ms: int
    is_settled: bool = False


class Turn(Enum):
    """What became of a suspicion."""

    RAISED = "raised"
    REVISED = "revised"
    CLEARED = "cleared"


class News(NamedTuple):
    """One thing that happened in a comparison."""

    turn: Turn
    suspicion: Suspicion
    at_ms: int


@dataclass(slots=True)
class _Count:
    """What all explanations together say, as shares of their likelihood."""

    troubles: dict[Trouble, float]
    """That there is trouble of a kind, beside what has been raised."""
    slips: dict[Slip, float]
    items: dict[str, float]
    raised: dict[Suspicion, dict[Slip, float]]
    """For each open suspicion, the slips that may be behind it."""


class Comparison:
    """Two records of one game, compared as they are written."""

    def __init__(self, seats: tuple[Seat, Seat], settings: CheckSettings) -> None:
        self._settings = settings
        self._habits = Habits(seats)
        self._explanations = Explanations(self._habits)
        self._open: list[Suspicion] = []
        self._put_right: list[Suspicion] = []
        self._news: list[News] = []
        self._next_ms: int | None = None
        self._stop_s: float | None = None
        self._used_stop_s: list[float | None] = [None, None]
        """The stop that each record's latest foul or time-out was put down to."""
        self._runs = False

    def news(self) -> list[News]:
        """What happened since the last call, in order."""
        news, self._news = self._news, []
        return news

    @property
    def next_ms(self) -> int | None:
        """When time alone may bring news."""
        return self._next_ms

    def open_suspicions(self) -> tuple[Suspicion, ...]:
        """What is raised and not cleared, oldest first."""
        return tuple(self._open)

    def waiting(self) -> tuple[Claim, ...]:
        """What waits by the likeliest explanation, and is not raised."""
        likeliest = self._explanations.likeliest
        raised = {claim for one in self._open for claim in one.slip.claims}
        return tuple(w.claim for w in likeliest.waiting if w.claim not in raised)

    def partner(self, claim: Claim) -> Claim | None:
        """The other record's claim of the same act, as far as that is clear."""
        if claim.partner is not None:
            return claim.partner
        likeliest = self._explanations.likeliest
        for pair in likeliest.pairs:
            if claim in pair:
                return pair[1 - claim.record]
        return None

    def run_to(self, now_ms: int) -> None:
        """Moves time on."""
        while self._next_ms is not None and self._next_ms <= now_ms:
            self._next_ms = self._look(self._next_ms)

    def clock_started(self) -> None:
        """Takes in that the game clock runs."""
        self._runs = True

    def clock_stopped(self, at_s: float) -> None:
        """Takes in that the game clock was stopped."""
        if self._runs:
            self._runs, self._stop_s = False, at_s

    def take(self, claim: Claim) -> None:
        """Takes in the next act that both records show."""
        if self._stop_s is not None and self._stop_s != self._used_stop_s[claim.record]:
            claim.whistle = self._habits.whistle(claim, self._stop_s)
            if claim.whistle is not None:
                self._used_stop_s[claim.record] = self._stop_s
        self._explanations.add(claim, self._allowance(claim), self._late(claim))
        if self._open or self._put_right:
            self._judge_raised(self._count(), round(claim.at_s * 1000))
        self._look_soon(claim.at_s)

    def pass_by(self, record: int, at_s: float) -> None:
        """Takes in an act that one record alone shows: it has gone on to that."""
        self._explanations.passed(record, at_s)

    def let_stand(self, suspicion: Suspicion, now_s: float) -> None:
        """Takes a slip as it is: both officials know of it."""
        self._open.remove(suspicion)
        if not suspicion.is_settled:
            self._settle_slip(suspicion.slip, now_s)
        lone = suspicion.slip.claims[0]
        if lone in self._explanations.lone:
            self._explanations.lone.remove(lone)

    def withdraw(self, claim: Claim, now_ms: int) -> None:
        """Takes out a claim that was struck; what was matched with it waits anew."""
        now_s = now_ms / 1000
        loose = _parted(claim)
        for suspicion in list(self._open):
            if claim in suspicion.slip.claims:
                if suspicion.is_settled:
                    loose += [one for one in suspicion.slip.claims if one is not claim]
                if claim in suspicion.slip.concerned or suspicion.is_settled:
                    self._clear(suspicion, now_ms)
        loose += self._explanations.withdraw(claim, now_s)
        for other in loose:
            other.at_s, other.whistle, other.still_coming = now_s, None, 1.0
            self._await(other, now_ms)
        self._look_soon(now_s)

    def put_right(self, claim: Claim, now_ms: int) -> None:
        """Takes in what a correction puts at an earlier place of its record."""
        self._await(claim, now_ms)
        self._look_soon(now_ms / 1000)

    def _await(self, claim: Claim, now_ms: int) -> None:
        """Matches a claim with a like one that has no partner, or lets it wait."""
        now_s = now_ms / 1000
        free = [
            other
            for other in self._explanations.unmatched()
            if other.record != claim.record
            and other.is_like(claim)
            and abs(other.placed_s - claim.placed_s) <= NEAR_S
        ]
        other = min(
            free, key=lambda one: abs(one.placed_s - claim.placed_s), default=None
        )
        self._explanations.put_waiting(claim, now_s)
        if other is None:
            return
        first, second = (other, claim) if claim.record else (claim, other)
        self._explanations.match(claim, other, now_s)
        self._join(first, second)
        for suspicion in list(self._open):
            if other in suspicion.slip.concerned:
                self._clear(suspicion, now_ms)

    def _look_soon(self, at_s: float) -> None:
        self._next_ms = (int(at_s * 1000) // TICK_MS + 1) * TICK_MS

    def _allowance(self, claim: Claim) -> float:
        """How far the game allows a new act: no field goal while the clock stands."""
        if claim.pace is not Pace.GOAL or self._runs or self._stop_s is None:
            return 1.0
        lag_s = claim.at_s - self._stop_s
        left = self._habits.lags.lag_survival(claim.record, claim.pace, lag_s)
        return max(NOT_IN_PLAY, left)

    def _late(self, claim: Claim) -> dict[Claim, float]:
        """For what was found missing, the density of its being added now."""
        late = {}
        for one in self._open:
            lone = one.slip.claims[0]
            if (
                one.slip.kind is SlipKind.MISSING
                and lone.record != claim.record
                and lone.is_like(claim)
            ):
                late[lone] = self._put_right_density(one, claim)
        return late

    def _put_right_density(self, one: Suspicion, claim: Claim) -> float:
        since_s = claim.at_s - one.raised_ms / 1000
        if since_s <= PUT_RIGHT_LATEST_S:
            return PUT_RIGHT * exp(-since_s / PUT_RIGHT_S) / PUT_RIGHT_S
        if claim.pace is not Pace.GOAL or self._runs:
            return 0.0
        # Where the timer keeps no clock, nothing speaks against it.
        is_long = self._stop_s is None or claim.at_s - self._stop_s > AT_REST_S
        return PUT_RIGHT_AT_REST if is_long else 0.0

    def _look(self, now_ms: int) -> int | None:
        """Judges the explanations; says when to look again, if anything waits."""
        now_s = now_ms / 1000
        self._explanations.weigh(now_s)
        self._explanations.drop_unlikely(now_s)
        count = self._count()
        self._judge_raised(count, now_ms)
        likely = self._likely_trouble(count)
        for trouble in likely:
            if self._is_time(trouble, count.troubles[trouble], now_s):
                self._raise(trouble, count, now_ms)
                break
        self._settle(now_ms)
        if not self._is_unsettled():
            return None
        return now_ms + TICK_MS * (1 if likely else self._idle_ticks(now_s))

    def _is_unsettled(self) -> bool:
        return any(not one.is_settled for one in self._open) or any(
            one.waiting or one.slips or one.healed for one in self._explanations.all
        )

    def _idle_ticks(self, now_s: float) -> int:
        """For how many ticks nothing can come of looking, unless somebody enters."""
        for ticks in LOOK_AHEAD_TICKS:
            self._explanations.weigh(now_s + ticks * TICK_MS / 1000)
            if not self._likely_trouble(self._count()):
                return ticks
        return 1

    def _likely_trouble(self, count: _Count) -> list[Trouble]:
        """The troubles that are likely enough to be raised, the likeliest first."""
        settings = self._settings
        likely = [
            trouble
            for trouble, odds in count.troubles.items()
            if odds >= settings.least_odds
            and odds >= settings.least_share * count.items[trouble.item]
        ]
        likely.sort(key=lambda trouble: -count.troubles[trouble])
        return likely

    def _is_time(self, trouble: Trouble, odds: float, now_s: float) -> bool:
        """Whether there is nothing to wait for."""
        if trouble.kind is SlipKind.MISSING and trouble.alone is not None:
            busy_s = now_s - self._explanations.last_s(1 - trouble.alone)
            if busy_s < BUSY_S:
                return False
        return not self._is_worth_waiting(trouble, odds, now_s)

    def _is_worth_waiting(self, trouble: Trouble, odds: float, now_s: float) -> bool:
        """Whether a delay costs less than the false alarms that it would save."""
        odds = min(odds, 1 - 1e-12)
        doubt, alarm_s = (1 - odds) / odds, self._alarm_s
        for wait_s in WAITS_S:
            if doubt * alarm_s <= wait_s:
                return False
            self._explanations.weigh(now_s + wait_s)
            then = min(self._count().troubles.get(trouble, 0.0), 1 - 1e-12)
            saved = 1.0 if then <= 0.0 else 1 - ((1 - then) / then) / doubt
            if doubt * max(0.0, saved) * alarm_s > wait_s:
                return True
        return False

    @property
    def _alarm_s(self) -> float:
        irregular = max(0.0, log(self._habits.lags.spread / SPREAD))
        return self._settings.alarm_s * exp(-IRREGULAR * irregular)

    def _count(self) -> _Count:
        everything = sum(one.likely for one in self._explanations.all)
        count = _Count({}, {}, {}, {one: {} for one in self._open})
        for explanation in self._explanations.all:
            share = explanation.likely / everything
            slips = explanation.all_slips()
            for suspicion in self._open:
                if suspicion.is_settled:
                    continue
                slip = self._behind(suspicion, slips)
                if slip is not None:
                    behind = count.raised[suspicion]
                    behind[slip] = behind.get(slip, 0.0) + share * slips.pop(slip)
            _add_slips(count, slips, share)
        return count

    def _behind(self, suspicion: Suspicion, slips: dict[Slip, float]) -> Slip | None:
        """Which of an explanation's slips is what was raised."""
        if suspicion.slip in slips:
            return suspicion.slip
        others = [one.slip for one in self._open if one is not suspicion]
        concerned, trouble = set(suspicion.slip.concerned), suspicion.slip.trouble
        akin = [
            slip
            for slip in slips
            if slip not in others
            and (slip.trouble == trouble or concerned.intersection(slip.concerned))
        ]
        return max(
            akin,
            key=lambda slip: (slips[slip], -slip.claims[0].number),
            default=None,
        )

    def _judge_raised(self, count: _Count, now_ms: int) -> None:
        for suspicion in list(self._open):
            if suspicion.is_settled:
                continue
            behind = count.raised[suspicion]
            if sum(behind.values()) < 1 - self._settings.gone_odds:
                self._clear(suspicion, now_ms)
                continue
            best = max(behind, key=lambda slip: behind[slip])
            if best != suspicion.slip and behind[best] > self._settings.revised_odds:
                suspicion.slip = best
                self._tell(Turn.REVISED, suspicion, now_ms)
        self._judge_put_right(now_ms)

    def _judge_put_right(self, now_ms: int) -> None:
        """Clears what a late entry has probably put right, or raises it again."""
        everything = sum(one.likely for one in self._explanations.all)
        healed: dict[Claim, float] = {}
        for one in self._explanations.all:
            for healing in one.healed:
                share = one.likely / everything
                healed[healing.lone] = healed.get(healing.lone, 0.0) + share
        gone = self._settings.gone_odds
        for suspicion in list(self._open):
            if healed.get(suspicion.slip.claims[0], 0.0) > gone:
                self._put_right.append(suspicion)
                self._clear(suspicion, now_ms)
        for suspicion in list(self._put_right):
            if healed.get(suspicion.slip.claims[0], 0.0) < 1 - gone:
                self._put_right.remove(suspicion)
                self._open.append(suspicion)
                self._tell(Turn.RAISED, suspicion, now_ms)

    def _raise(self, trouble: Trouble, count: _Count, now_ms: int) -> None:
        slip = max(
            (slip for slip in count.slips if slip.trouble == trouble),
            key=lambda slip: count.slips[slip],
        )
        earliest = min(slip.concerned, key=lambda claim: claim.number)
        suspicion = Suspicion(slip, earliest, now_ms)
        self._open.append(suspicion)
        self._tell(Turn.RAISED, suspicion, now_ms)

    def _clear(self, suspicion: Suspicion, now_ms: int) -> None:
        self._open.remove(suspicion)
        self._tell(Turn.CLEARED, suspicion, now_ms)

    def _tell(self, turn: Turn, suspicion: Suspicion, now_ms: int) -> None:
        self._news.append(News(turn, suspicion, now_ms))

    def _settle(self, now_ms: int) -> None:
        for suspicion in self._open:
            since_ms = now_ms - suspicion.raised_ms
            if not suspicion.is_settled and since_ms >= SETTLED_MS:
                self._settle_slip(suspicion.slip, now_ms / 1000)
                suspicion.is_settled = True
                self._habits.slipped()
        self._settle_healings(now_ms / 1000)
        if self._is_overdue(now_ms / 1000):
            self._explanations.take_likeliest()
        for first, second in self._explanations.settled_pairs(now_ms / 1000):
            self._join(first, second)
            if first.is_like(second):
                self._habits.matched(first, second)

    def _join(self, first: Claim, second: Claim) -> None:
        """Notes that two claims are one act, and neither is another's any more."""
        _parted(first)
        _parted(second)
        first.partner, second.partner = second, first

    def _is_overdue(self, now_s: float) -> bool:
        everything = self._explanations.all
        return len(everything) > 1 and any(
            now_s - claim.at_s > OVERDUE_S
            for one in everything
            for claim in one.unsettled()
        )

    def _settle_slip(self, slip: Slip, now_s: float) -> None:
        """Goes on with the explanations that have the slip."""
        if slip.kind is SlipKind.MISSING:
            self._explanations.settle_missing(slip.claims[0], now_s)
        else:
            self._explanations.restrict(lambda one: _without_slip(one, slip), now_s)

    def _forget(self, lone: Claim, now_s: float) -> None:
        """What was found missing has come, and that is decided."""
        for suspicion in list(self._open):
            if suspicion.slip == Slip(SlipKind.MISSING, (lone,)):
                self._clear(suspicion, round(now_s * 1000))
        self._put_right = [
            one for one in self._put_right if one.slip.claims[0] is not lone
        ]

    def _settle_healings(self, now_s: float) -> None:
        open_ = {h for one in self._explanations.all for h in one.healed}
        for healing in sorted(open_, key=lambda h: (h.late.number, h.lone.number)):
            everywhere = all(healing in one.healed for one in self._explanations.all)
            is_old = now_s - healing.late.at_s > DECIDED_S
            if (everywhere or is_old) and self._explanations.decide(healing, now_s):
                self._forget(healing.lone, now_s)


def _parted(claim: Claim) -> list[Claim]:
    """Takes a claim from its partner, if it has one; says which that was."""
    partner = claim.partner
    if partner is None:
        return []
    claim.partner = partner.partner = None
    return [partner]


def _add_slips(count: _Count, slips: dict[Slip, float], share: float) -> None:
    """Adds the chance that an explanation has any trouble of each kind."""
    none: dict[Trouble, float] = {}
    no_item: dict[str, float] = {}
    for slip, odds in slips.items():
        trouble = slip.trouble
        none[trouble] = none.get(trouble, 1.0) * (1 - odds)
        no_item[trouble.item] = no_item.get(trouble.item, 1.0) * (1 - odds)
        count.slips[slip] = count.slips.get(slip, 0.0) + share * odds
    for trouble, odds in none.items():
        count.troubles[trouble] = count.troubles.get(trouble, 0.0) + share * (1 - odds)
    for item, odds in no_item.items():
        count.items[item] = count.items.get(item, 0.0) + share * (1 - odds)


def _without_slip(one: Explanation, slip: Slip) -> Explanation | None:
    if slip not in one.slips:
        return None
    return replace(one, slips=tuple(other for other in one.slips if other != slip))
