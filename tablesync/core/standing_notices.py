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
from tablesync.core.sentence import sentence
from tablesync.core.words import ordinal

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from tablesync.core.book import Book
    from tablesync.core.foul_rules import BonusStep
    from tablesync.core.playing_time import LookAhead, PlayingTimeRule, Share
    from tablesync.core.sentence import Sentence

__all__ = ["STANDING_NOTICES"]

_BONUS_KINDS = (NoticeKind.BONUS, NoticeKind.DOUBLE_BONUS)
_SHOTS = {Award.ONE_AND_ONE: "one-and-one", Award.TWO_SHOTS: "two"}


def _disqualified(scene: Scene) -> Iterator[Saying]:
    kind, fouls = NoticeKind.DISQUALIFIED, scene.rules.fouls
    for side, page in scene.book.pages:
        team = scene.team(side)
        for number, says in players_out(page, fouls).items():
            out = sentence(
                "{team} {number} is out: {why}.", team=team, number=number, why=says
            )
            yield Saying(kind, side, number, out)
        says_of_coach = coach_out_by(page, fouls)
        if says_of_coach is not None:
            out = sentence(
                "{team}'s coach is out: {why}.", team=team, why=says_of_coach
            )
            yield Saying(kind, side, None, out)


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
                    yield Saying(kind, side, None, _bonus_says(scene, side, span, step))


def _bonus_says(scene: Scene, side: Side, span: range, step: BonusStep) -> Sentence:
    return sentence(
        "{team}: {nth} team foul of the {span}, {other} shoots {shots}.",
        team=scene.team(side),
        nth=ordinal(step.from_count),
        span=scene.rules.foul_span_title(span.start),
        other=scene.colour(side.other),
        shots=_SHOTS[step.award],
        count=step.from_count,
        at=span.start,
    )


def _not_on_the_sheet(scene: Scene) -> Iterator[Saying]:
    for side, page in scene.book.pages:
        listed = {player.number for player in page.team.players}
        for number in in_order((page.lines.keys() | page.on_court) - listed):
            says = sentence(
                "{team} {number} is not on the sheet.",
                team=scene.team(side),
                number=number,
            )
            yield Saying(NoticeKind.BOOK_CHECK, side, number, says)


def _too_many_on_court(scene: Scene) -> Iterator[Saying]:
    for side, page in scene.book.pages:
        count = len(page.on_court)
        if count > ON_COURT:
            says = sentence(
                "{team} has {count} on court.", team=scene.team(side), count=count
            )
            yield Saying(NoticeKind.BOOK_CHECK, side, None, says)


def _arrow_not_turned(scene: Scene) -> Iterator[Saying]:
    """Once a goal is made: until then the throw-in may not have ended."""
    book, period = scene.book, scene.book.periods.last
    side = book.tally.arrow
    if side is None or book.arrow_turned_in == period:
        return
    if scene.rules.opening(period) is Opening.ARROW and _has_goal(book, period):
        says = sentence(
            "The {period} opened with a throw-in for {team}, and the arrow has not "
            "been turned.",
            period=scene.rules.period_title(period),
            team=scene.colour(side),
            at=period,
        )
        yield Saying(NoticeKind.BOOK_CHECK, side, None, says)


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
            says = _why_lost(team, share, (rule, left), scene.rules.period_name)
            yield Saying(kind, side, share.number, says)
    if not ahead.can_all_be_met:
        says = sentence(
            "{team} can't give everybody the playing time owed any more.", team=team
        )
        yield Saying(kind, side, None, says)


def _why_lost(
    team: str, share: Share, owed: tuple[PlayingTimeRule, int], period: str
) -> Sentence:
    rule, left = owed
    number = share.number
    if share.whole + left < rule.whole:
        return sentence(
            "{team} {number} can't play {whole} any more.",
            team=team,
            number=number,
            whole=_count(rule.whole, f"whole {period}"),
            count=rule.whole,
        )
    if share.played > rule.most:
        return sentence(
            "{team} {number} has played in {played}, more than {most}.",
            team=team,
            number=number,
            played=_count(share.played, period),
            most=rule.most,
            count=share.played,
        )
    if share.out + left < rule.out:
        return sentence(
            "{team} {number} can't sit out {out} any more.",
            team=team,
            number=number,
            out=_count(rule.out, period),
            count=rule.out,
        )
    return sentence(
        "{team} {number} can't get both the playing time and the rest owed any more.",
        team=team,
        number=number,
    )


def _count(number: int, of: str) -> str:
    return f"{number} {of}" if number == 1 else f"{number} {of}s"


def _line_up(scene: Scene, side: Side, ahead: LookAhead) -> Iterator[Saying]:
    kind, team = NoticeKind.PLAYING_TIME, scene.team(side)
    at = scene.book.periods.last + 1
    title = scene.rules.period_title(at)
    for form, numbers in (
        ("{team} {number} must start the {period}.", ahead.must_start),
        ("{team} {number} must sit out the {period}.", ahead.must_sit),
    ):
        for number in in_order(numbers):
            says = sentence(form, team=team, number=number, period=title, at=at)
            yield Saying(kind, side, number, says)
    for quota in ahead.quotas:
        says = sentence(
            "{team}: {count} of {among} must start the {period}.",
            team=team,
            count=quota.at_least,
            among=", ".join(in_order(quota.among)),
            period=title,
            at=at,
        )
        yield Saying(kind, side, None, says)


STANDING_NOTICES: tuple[Callable[[Scene], Iterator[Saying]], ...] = (
    _disqualified,
    _bonus,
    _not_on_the_sheet,
    _too_many_on_court,
    _arrow_not_turned,
    _playing_time,
)
