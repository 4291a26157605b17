"""What there is to tell as long as the book stands so.

Each function looks at the book as it stands now and yields everything that is so;
`Notices` tells only what is new. One more is one more function in the table below.
"""

from __future__ import annotations

from itertools import takewhile
from typing import TYPE_CHECKING

from tablesync.core.acts import Side
from tablesync.core.arrow_rules import Opening
from tablesync.core.disqualification import coach_out_by, players_out
from tablesync.core.foul_rules import Award
from tablesync.core.playing_time import (
    ON_COURT,
    Prospect,
    look_ahead,
    periods_left,
    shares_of,
)
from tablesync.core.scene import NoticeKind, Saying, Scene, in_order
from tablesync.core.words import ordinal

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from tablesync.core.book import Book
    from tablesync.core.foul_rules import BonusStep
    from tablesync.core.playing_time import LookAhead, PlayingTimeRule, Share

__all__ = ["STANDING_NOTICES"]

_BONUS_KINDS = (NoticeKind.BONUS, NoticeKind.DOUBLE_BONUS)
_SHOTS = {Award.ONE_AND_ONE: "one-and-one", Award.TWO_SHOTS: "two"}


def _disqualified(scene: Scene) -> Iterator[Saying]:
    kind, fouls = NoticeKind.DISQUALIFIED, scene.rules.fouls
    for side, page in scene.book.pages:
        team = scene.team(side)
        for number, says in players_out(page, fouls).items():
            yield Saying(kind, side, number, f"{team} {number} is out: {says}.")
        says_of_coach = coach_out_by(page, fouls)
        if says_of_coach is not None:
            text = f"{team}'s coach is out: {says_of_coach}."
            yield Saying(kind, side, None, text)


def _bonus(scene: Scene) -> Iterator[Saying]:
    rules, tally = scene.rules, scene.book.tally
    spans = {
        rules.foul_span(period).start: rules.foul_span(period)
        for period in range(1, scene.book.periods.of_foul + 1)
    }
    for side in Side:
        for span in spans.values():
            count = sum(tally.fouls_in(period, side) for period in span)
            for kind, step in zip(_BONUS_KINDS, rules.fouls.bonus, strict=False):
                if count >= step.from_count:
                    yield Saying(kind, side, None, _bonus_text(scene, side, span, step))


def _bonus_text(scene: Scene, side: Side, span: range, step: BonusStep) -> str:
    return (
        f"{scene.team(side)}: {ordinal(step.from_count)} team foul of the "
        f"{scene.rules.foul_span_title(span.start)}, "
        f"{scene.colour(side.other)} shoots {_SHOTS[step.award]}."
    )


def _not_on_the_sheet(scene: Scene) -> Iterator[Saying]:
    for side, page in scene.book.pages:
        listed = {player.number for player in page.team.players}
        for number in in_order((page.lines.keys() | page.on_court) - listed):
            text = f"{scene.team(side)} {number} is not on the sheet."
            yield Saying(NoticeKind.BOOK_CHECK, side, number, text)


def _too_many_on_court(scene: Scene) -> Iterator[Saying]:
    for side, page in scene.book.pages:
        count = len(page.on_court)
        if count > ON_COURT:
            text = f"{scene.team(side)} has {count} on court."
            yield Saying(NoticeKind.BOOK_CHECK, side, None, text)


def _arrow_not_turned(scene: Scene) -> Iterator[Saying]:
    """Once a goal is made: until then the throw-in may not have ended."""
    book, period = scene.book, scene.book.periods.last
    side = book.tally.arrow
    if side is None or book.arrow_turned_in == period:
        return
    if scene.rules.opening(period) is Opening.ARROW and _has_goal(book, period):
        text = (
            f"The {scene.rules.period_title(period)} opened with a throw-in for "
            f"{scene.colour(side)}, and the arrow has not been turned."
        )
        yield Saying(NoticeKind.BOOK_CHECK, side, None, text)


def _has_goal(book: Book, period: int) -> bool:
    of_period = takewhile(lambda s: s.period == period, reversed(book.running_score))
    return any(scored.points > 1 for scored in of_period)


def _playing_time(scene: Scene) -> Iterator[Saying]:
    rules, periods = scene.rules, scene.book.periods
    for side, page in scene.book.pages:
        out = players_out(page, rules.fouls)
        present, shares = shares_of(page, rules.periods, out)
        rule = rules.playing_time.for_present(present)
        if rule is None:
            continue
        left = periods_left(periods, rules.periods)
        ahead = look_ahead(shares, rule, left)
        yield from _lost(scene, side, ahead, (shares, rule, left))
        if not periods.is_open and left:
            yield from _line_up(scene, side, ahead)


def _lost(
    scene: Scene,
    side: Side,
    ahead: LookAhead,
    owed: tuple[Sequence[Share], PlayingTimeRule, int],
) -> Iterator[Saying]:
    kind, team = NoticeKind.PLAYING_TIME, scene.team(side)
    shares, rule, left = owed
    for share in shares:
        if ahead.prospects[share.number] is Prospect.LOST:
            why = _why_lost(share, rule, left, scene.rules.period_name)
            yield Saying(kind, side, share.number, f"{team} {share.number} {why}.")
    if not ahead.can_all_be_met:
        text = f"{team} can't give everybody the playing time owed any more."
        yield Saying(kind, side, None, text)


def _why_lost(share: Share, rule: PlayingTimeRule, left: int, period: str) -> str:
    if share.whole + left < rule.whole:
        return f"can't play {_count(rule.whole, f'whole {period}')} any more"
    if share.played > rule.most:
        return f"has played in {_count(share.played, period)}, more than {rule.most}"
    if share.out + left < rule.out:
        return f"can't sit out {_count(rule.out, period)} any more"
    return "can't get both the playing time and the rest owed any more"


def _count(number: int, of: str) -> str:
    return f"{number} {of}" if number == 1 else f"{number} {of}s"


def _line_up(scene: Scene, side: Side, ahead: LookAhead) -> Iterator[Saying]:
    kind, team = NoticeKind.PLAYING_TIME, scene.team(side)
    title = scene.rules.period_title(scene.book.periods.last + 1)
    for number in in_order(ahead.must_start):
        text = f"{team} {number} must start the {title}."
        yield Saying(kind, side, number, text)
    for number in in_order(ahead.must_sit):
        text = f"{team} {number} must sit out the {title}."
        yield Saying(kind, side, number, text)
    for quota in ahead.quotas:
        among = ", ".join(in_order(quota.among))
        text = f"{team}: {quota.at_least} of {among} must start the {title}."
        yield Saying(kind, side, None, text)


STANDING_NOTICES: tuple[Callable[[Scene], Iterator[Saying]], ...] = (
    _disqualified,
    _bonus,
    _not_on_the_sheet,
    _too_many_on_court,
    _arrow_not_turned,
    _playing_time,
)
