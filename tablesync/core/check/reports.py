"""Makes findings of what the comparisons found: sentence, values, and ways out."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.acts import EntryId, Seat, Side
from tablesync.core.check.slips import SlipKind
from tablesync.core.findings import Awaited, Cause, Finding, PerSeat, Remedy
from tablesync.core.remedies import (
    added,
    arrow_set,
    corrected,
    period_opened,
    struck,
)
from tablesync.core.sentences import Phrases
from tablesync.core.tally import Item
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from tablesync.core.check.claims import Claim
    from tablesync.core.check.comparison import Suspicion
    from tablesync.core.check.standing import Difference, Shown, Value
    from tablesync.core.game_clock import GameClock
    from tablesync.core.rules import RuleSet
    from tablesync.core.sheet import GameSheet

__all__ = ["Heading", "Reports"]


@dataclass(frozen=True, slots=True)
class Heading:
    """What a finding says beside the slip itself."""

    id: str
    values: PerSeat[Value]
    alone: Seat | None


class Reports:
    """Writes the findings of one game."""

    def __init__(self, sheet: GameSheet, rules: RuleSet, clock: GameClock) -> None:
        self._sheet = sheet
        self._rules = rules
        self._clock = clock
        self._phrases = Phrases(sheet, rules)

    def of_slip(
        self, suspicion: Suspicion, seats: tuple[Seat, Seat], heading: Heading
    ) -> Finding:
        """The finding about a slip between two seats."""
        slip = suspicion.slip
        concerned = sorted(slip.concerned, key=lambda claim: claim.record)
        claim = concerned[0]
        cause = _cause(slip.kind, claim)
        by_seat = {seats[one.record]: one.entry.id for one in concerned}
        started_s = min(one.placed_s for one in concerned)
        moment = self._phrases.moment(self._clock.reading(int(started_s * 1000)))
        return Finding(
            id=heading.id,
            item=claim.mark.item,
            side=claim.mark.side,
            cause=cause,
            entries=PerSeat(
                tuple((seat, by_seat.get(seat)) for seat, _ in heading.values)
            ),
            values=heading.values,
            raised_at_ms=suspicion.raised_ms,
            text=f"{self._sentence(cause, concerned, seats)} ({moment})",
            remedies=self._remedies(cause, concerned, seats),
            alone=heading.alone,
        )

    def of_difference(
        self, difference: Difference, seats: tuple[Seat, Seat], heading: Heading
    ) -> Finding:
        """The finding about two periods or two arrows."""
        first, second = difference.first, difference.second
        shown = {seats[0]: first, seats[1]: second}
        newest, other = seats
        if second.entry is difference.named_by:
            newest, other = other, newest
        entry = difference.named_by
        moment = self._phrases.moment(self._clock.reading(entry.table_time_ms))
        is_period = difference.item is Item.PERIOD
        sentence, remedies = (
            self._period(newest, shown[newest], other, shown[other])
            if is_period
            else self._arrow(newest, shown[newest], other, shown[other])
        )
        return Finding(
            id=heading.id,
            item=difference.item,
            side=None,
            cause=Cause.PERIOD_DIFFERS if is_period else Cause.ARROW_DIFFERS,
            entries=PerSeat(
                tuple(
                    (seat, _named(shown.get(seat), difference))
                    for seat, _ in heading.values
                )
            ),
            values=heading.values,
            raised_at_ms=difference.raised_ms,
            text=f"{sentence} ({moment})",
            remedies=remedies,
            alone=heading.alone,
        )

    def awaited(self, claim: Claim, seats: tuple[Seat, Seat]) -> Awaited:
        """What a claim waits for."""
        seat = seats[1 - claim.record]
        return Awaited(
            claim.mark.item,
            claim.mark.side,
            seat,
            claim.entry.id,
            int(claim.at_s * 1000),
            self._phrases.awaited(seat, claim.act, claim.mark.side),
        )

    def awaited_value(self, item: Item, seat: Seat, shown: Shown) -> Awaited:
        """What the period or the arrow of one record waits for."""
        entry = shown.entry
        assert entry is not None
        return Awaited(
            item,
            None,
            seat,
            entry.id,
            entry.table_time_ms,
            self._phrases.awaited(seat, entry.act, None),
        )

    def _sentence(
        self, cause: Cause, claims: list[Claim], seats: tuple[Seat, Seat]
    ) -> str:
        words, claim = self._phrases, claims[0]
        seat, other = seats[claim.record], seats[1 - claim.record]
        side = _side(claim)
        match cause:
            case Cause.TWICE_IN_BOOK | Cause.TWICE_ON_BOARD:
                return words.twice(seat, claim.act, side)
            case Cause.SIDES_DIFFER:
                second = claims[1]
                return words.sides(
                    (seat, claim.act, side), (other, second.act, _side(second))
                )
            case Cause.POINTS_DIFFER:
                return words.points(side, (seat, claim.act), (other, claims[1].act))
            case _:
                return words.only(seat, claim.act, side, other)

    def _remedies(
        self, cause: Cause, claims: list[Claim], seats: tuple[Seat, Seat]
    ) -> tuple[Remedy, ...]:
        claim, sheet = claims[0], self._sheet
        if len(claims) == 2:
            second = claims[1]
            return (
                corrected(claim.entry, second.mark, second.act, sheet),
                corrected(second.entry, claim.mark, claim.act, sheet),
            )
        strike = struck(claim.entry, claim.mark, sheet)
        if cause in (Cause.TWICE_IN_BOOK, Cause.TWICE_ON_BOARD):
            return (strike,)
        lacking = seats[1 - claim.record]
        placed_ms = round(claim.placed_s * 1000)
        return (added(lacking, claim.mark, claim.act, placed_ms, sheet), strike)

    def _period(
        self, seat: Seat, shown: Shown, other: Seat, other_shown: Shown
    ) -> tuple[str, tuple[Remedy, ...]]:
        period, behind = _number(shown), _number(other_shown)
        sentence = self._phrases.period((seat, period), (other, behind))
        title = self._rules.period_title(period)
        return sentence, (period_opened(other, period, title),)

    def _arrow(
        self, seat: Seat, shown: Shown, other: Seat, other_shown: Shown
    ) -> tuple[str, tuple[Remedy, ...]]:
        side, other_side = _to(shown), _to(other_shown)
        sentence = self._phrases.arrow((seat, side), (other, other_side))
        remedies = () if side is None else (arrow_set(other, side, self._sheet),)
        return sentence, remedies


def _cause(kind: SlipKind, claim: Claim) -> Cause:
    is_book = claim.record == 0
    match kind:
        case SlipKind.MISSING:
            return Cause.ONLY_IN_BOOK if is_book else Cause.ONLY_ON_BOARD
        case SlipKind.TWICE:
            return Cause.TWICE_IN_BOOK if is_book else Cause.TWICE_ON_BOARD
        case SlipKind.SIDES:
            return Cause.SIDES_DIFFER
        case SlipKind.POINTS:
            return Cause.POINTS_DIFFER


def _side(claim: Claim) -> Side:
    assert claim.mark.side is not None
    return claim.mark.side


def _named(shown: Shown | None, difference: Difference) -> EntryId | None:
    """The entry of a record, where it is of the value that the finding is about."""
    if shown is None or shown.entry is None:
        return None
    if difference.item is Item.ARROW or shown.value == _newest(difference).value:
        return shown.entry.id
    return None


def _newest(difference: Difference) -> Shown:
    first, second = difference.first, difference.second
    return first if first.entry is difference.named_by else second


def _number(shown: Shown) -> int:
    return shown.value if isinstance(shown.value, int) else 0


def _to(shown: Shown) -> Side | None:
    return shown.value if isinstance(shown.value, Side) else None
