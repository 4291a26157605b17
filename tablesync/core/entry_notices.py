"""What there is to tell about one entry, when it is made.

Everything is entered all the same: the referees may have ruled so. One more check is
one more function in the table below.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.acts import (
    Basket,
    Charged,
    Foul,
    FreeThrow,
    OpenPeriod,
    Substitution,
    TimeOut,
)
from tablesync.core.disqualification import players_out
from tablesync.core.playing_time import ON_COURT
from tablesync.core.scene import NoticeKind, Saying, Scene, in_order
from tablesync.core.sentence import sentence
from tablesync.core.time_outs import account_at

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from tablesync.core.acts import Side
    from tablesync.core.sentence import Gap, Sentence

__all__ = ["ENTRY_NOTICES"]


def _check(side: Side, number: str | None, says: Sentence) -> Saying:
    return Saying(NoticeKind.BOOK_CHECK, side, number, says)


def _of_player(scene: Scene, side: Side, number: str, form: str, **more: Gap) -> Saying:
    """A form whose gaps are the team and the player, and what else is given."""
    says = sentence(form, team=scene.team(side), number=number, **more)
    return _check(side, number, says)


def _not_on_court(scene: Scene) -> Iterator[Saying]:
    match scene.act:
        case Basket(side=side, number=number, points=points):
            form = "{team} {number} is not on court; the {points} points stand."
            says = _of_player(scene, side, number, form, points=points)
        case FreeThrow(side=side, number=number):
            form = "{team} {number} is not on court; the free throw stands."
            says = _of_player(scene, side, number, form)
        case Foul(side=side, number=str(number)):
            form = "{team} {number} is not on court; the foul stands."
            says = _of_player(scene, side, number, form)
        case _:
            return
    if number not in scene.book.pages[side].on_court:
        yield says


def _disqualified_before(scene: Scene) -> Iterator[Saying]:
    match scene.act:
        case Basket(side=side, number=number) | FreeThrow(side=side, number=number):
            out = players_out(scene.book.pages[side], scene.rules.fouls)
            is_out = number in out
        case Foul(side=side, number=str(number)):
            earlier = scene.book.pages[side].line(number).fouls[:-1]
            kinds = [foul.kind for foul in earlier]
            is_out = scene.rules.fouls.player_out_by(kinds) is not None
        case _:
            return
    if is_out:
        form = "{team} {number} was out of the game already."
        yield _of_player(scene, side, number, form)


def _out_but_on_court(scene: Scene) -> Iterator[Saying]:
    """Once play has gone on: until then a substitution may be on its way."""
    if not isinstance(scene.act, Basket | OpenPeriod):
        return
    for side, page in scene.book.pages:
        out = players_out(page, scene.rules.fouls)
        for number in in_order(out.keys() & page.on_court):
            form = "{team} {number} is out of the game, but on court."
            yield _of_player(scene, side, number, form)


def _substitution(scene: Scene) -> Iterator[Saying]:
    match scene.act:
        case Substitution(side=side, on=on):
            page = scene.book.pages[side]
            out = players_out(page, scene.rules.fouls)
            for number in on:
                if number in out:
                    form = "{team} {number} is out of the game, and came on."
                    yield _of_player(scene, side, number, form)
                elif number in page.unavailable:
                    form = "{team} {number} was noted as unable to play."
                    yield _of_player(scene, side, number, form)
        case _:
            pass


def _too_few_on_court(scene: Scene) -> Iterator[Saying]:
    if not isinstance(scene.act, OpenPeriod):
        return
    for side, page in scene.book.pages:
        gone = players_out(page, scene.rules.fouls).keys() | page.unavailable.keys()
        could_play = sum(player.number not in gone for player in page.team.players)
        count = len(page.on_court)
        if count < min(ON_COURT, could_play):
            says = sentence(
                "{team} starts with {count} on court.",
                team=scene.team(side),
                count=count,
            )
            yield _check(side, None, says)


def _time_out(scene: Scene) -> Iterator[Saying]:
    match scene.act:
        case TimeOut(side=side):
            pass
        case _:
            return
    time_outs = scene.book.pages[side].time_outs
    moment = (scene.book.periods.of_play, scene.entry.table_time_ms)
    before = account_at(scene.rules, time_outs[:-1], scene.clock, moment)
    after = account_at(scene.rules, time_outs, scene.clock, moment)
    if after.too_many > before.too_many:
        says = sentence("{team} has taken a time-out too many.", team=scene.team(side))
        yield _check(side, None, says)
    elif after.left.total == 0:
        # Where the second half adds none, what is spent is spent for the whole game.
        is_by_half = scene.rules.time_outs.second_half.total > 0
        form = "{team} has no time-outs left."
        if is_by_half:
            form = "{team} has no time-outs left in the {span}."
        span = scene.rules.time_out_span_title(moment[0])
        says = sentence(form, team=scene.team(side), span=span, at=moment[0])
        yield Saying(NoticeKind.TIME_OUTS_SPENT, side, None, says)


def _unknown_kind(scene: Scene) -> Iterator[Saying]:
    match scene.act:
        case Foul(side=side, number=number, charged=charged, kind=kind):
            if scene.rules.fouls.rule(charged, kind) is None:
                whom = "a player" if charged is Charged.PLAYER else f"the {charged}"
                form = "{team} has a foul that {rules} does not know, {kind} of {whom}."
                if number is not None:
                    form = (
                        "{team} {number} has a foul that {rules} does not know, {kind} "
                        "of {whom}."
                    )
                says = sentence(
                    form,
                    team=scene.team(side),
                    number=number or "",
                    rules=scene.rules.title,
                    kind=kind,
                    whom=whom,
                )
                yield _check(side, number, says)
        case _:
            pass


ENTRY_NOTICES: tuple[Callable[[Scene], Iterator[Saying]], ...] = (
    _not_on_court,
    _disqualified_before,
    _out_but_on_court,
    _substitution,
    _too_few_on_court,
    _time_out,
    _unknown_kind,
)
