"""Findings and notices as cards: one sentence, and keys for one's own record."""

from __future__ import annotations

from dataclasses import replace
from enum import Enum
from typing import TYPE_CHECKING

from mobile.presenters.intents import AskPlayer, AskReason, Back, Enter
from tablesync.core.acts import Answer as How
from tablesync.core.acts import Answered, EntryId, LetStand, Seat, Side, Strike
from tablesync.core.findings import Cause
from tablesync.core.notices import NoticeKind
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from collections.abc import Iterator

    from mobile.presenters.desk import Desk
    from mobile.presenters.intents import Intent
    from mobile.presenters.seat_view import SeatView
    from tablesync.core.findings import Finding, Remedy

__all__ = ["Answer", "Card", "CardKind", "cards"]


@dataclass(frozen=True, slots=True)
class Answer:
    """A key of a card."""

    label: str
    intent: Intent


class CardKind(Enum):
    """What a card is about."""

    FINDING = "finding"
    NOTICE = "notice"
    """What the referees are to be told, or the scorer to look at again."""
    TROUBLE = "trouble"
    """This device can't put on record what was touched, or has lost a part of it."""
    ASKED = "asked"
    """Another device asks for a seat."""


@dataclass(frozen=True, slots=True)
class Card:
    """One finding or notice, and what this seat can do about it."""

    kind: CardKind
    subject: str
    """The id of the finding or notice."""
    head: str
    text: str
    answers: tuple[Answer, ...]
    status: str
    """What has been said to it already, or empty."""
    place: str
    """Which of how many it is, or empty where it is alone."""

    @property
    def is_recorded(self) -> bool:
        """Whether it goes on record that the official was shown it."""
        return self.kind not in (CardKind.TROUBLE, CardKind.ASKED)


def cards(view: SeatView, desk: Desk) -> tuple[Card, ...]:
    """What is open: first what waits for this official, and of that the oldest."""
    findings = sorted(view.game.open_findings(), key=lambda one: one.raised_at_ms)
    known = _held(view) | _let_stand(view) if findings else frozenset()
    waiting = [one for one in findings if one.id not in known]
    answered = [one for one in findings if one.id in known]
    found = [
        *_trouble(view),
        *_asked(view),
        *(_card(view, desk, one) for one in waiting),
        *_notices(view),
        *(_card(view, desk, one) for one in answered),
    ]
    if len(found) > 1:
        places = (f"{number}/{len(found)}" for number in range(1, len(found) + 1))
        found = [
            replace(card, place=place)
            for card, place in zip(found, places, strict=True)
        ]
    first = desk.card % len(found) if found else 0
    return (*found[first:], *found[:first])


def _trouble(view: SeatView) -> Iterator[Card]:
    """The card that says that something was not put on record."""
    texts = view.texts.trouble
    answers = (Answer(texts.understood, Back()),)
    if view.trouble is not None:
        subject, text = str(view.trouble), texts.words(view.trouble)
        yield Card(
            CardKind.TROUBLE, subject, texts.head, text, answers, status="", place=""
        )
    if view.damage is not None:
        subject, text = str(view.damage), texts.damaged(view.damage)
        head = texts.damaged_head
        yield Card(CardKind.TROUBLE, subject, head, text, answers, status="", place="")


def _asked(view: SeatView) -> Iterator[Card]:
    """The devices that ask for another seat than this, until they are let in."""
    texts = view.texts.asked
    for given in view.asking:
        # By this official, or by another or the director: then it has written.
        is_let_in = any(
            entry.act == given for entry in view.my_record
        ) or view.game.history.holds(EntryId(given.device, 1))
        if given.seat is view.seat or is_let_in:
            continue
        yield Card(
            CardKind.ASKED,
            given.device.hex(),
            texts.head,
            texts.words(given.seat),
            (Answer(texts.let_in, Enter((given,))),),
            status="",
            place="",
        )


def _notices(view: SeatView) -> Iterator[Card]:
    """The notices that the scorer has not answered yet, the oldest first."""
    if view.seat is not Seat.BOOK:
        return
    answered = {
        entry.act.subject for entry in view.my_record if isinstance(entry.act, Answered)
    }
    texts, struck = view.texts.notices, view.my_record.struck
    waiting = [
        notice
        for notice in view.game.notices()
        if notice.id not in answered and notice.entry not in struck
    ]
    checks = tuple(
        Answered(notice.id, How.PUT_RIGHT)
        for notice in waiting
        if notice.kind is NoticeKind.BOOK_CHECK
    )
    for notice in waiting:
        is_check = notice.kind is NoticeKind.BOOK_CHECK
        done = Enter((Answered(notice.id, How.PUT_RIGHT),))
        answers = [Answer(texts.seen if is_check else texts.told, done)]
        if is_check and len(checks) > 1:
            answers.append(Answer(texts.all_seen, Enter(checks)))
        yield Card(
            CardKind.NOTICE,
            notice.id,
            texts.check if is_check else texts.head,
            view.texts.say.sentence(notice.says, view.game.rules),
            tuple(answers),
            status="",
            place="",
        )


def _card(view: SeatView, desk: Desk, finding: Finding) -> Card:
    texts = view.texts.cards
    mine, theirs = finding.values[view.seat], finding.values[view.partner]
    side = None if finding.side is None else view.colour(finding.side)
    return Card(
        CardKind.FINDING,
        finding.id,
        texts.head(
            finding.item,
            side,
            (view.seat, _shown(view, mine)),
            (view.partner, _shown(view, theirs)),
        ),
        view.texts.say.finding(finding, view.game),
        _answers(view, desk, finding),
        _status(view, finding),
        place="",
    )


def _shown(view: SeatView, value: int | Side | None) -> str:
    match value:
        case Side():
            return view.colour(value)
        case None:
            return view.texts.strip.nobody
        case _:
            return str(value)


def _answers(view: SeatView, desk: Desk, finding: Finding) -> tuple[Answer, ...]:
    texts = view.texts.cards
    if desk.reason_for == finding.id:
        reasons = (
            Answer(reason, Enter((LetStand(finding.id, reason),)))
            for reason in texts.reasons
        )
        return (*reasons, Answer(texts.back, Back()))
    answers = [
        Answer(
            view.texts.say.remedy(remedy, view.game), _way_out(view, finding, remedy)
        )
        for remedy in finding.remedies
        if remedy.seat is view.seat
    ]
    if finding.id not in _held(view):
        hold = Enter((Answered(finding.id, How.HELD),))
        answers.append(Answer(texts.hold, hold))
    if finding.id not in _let_stand(view):
        answers.append(Answer(texts.let_stand, AskReason(finding.id)))
    return tuple(answers)


def _way_out(view: SeatView, finding: Finding, remedy: Remedy) -> Intent:
    """What a remedy's key does; one that lacks a player's number asks for it."""
    match remedy.acts:
        case ():
            assert finding.side is not None
            lacking_ms = _theirs_ms(view, finding)
            return AskPlayer(finding.side, remedy.label, None, finding.id, lacking_ms)
        case (Strike(target=target),) if finding.cause in (
            Cause.SIDES_DIFFER,
            Cause.POINTS_DIFFER,
        ):
            assert finding.side is not None
            side = finding.side
            if finding.cause is Cause.SIDES_DIFFER:
                side = side.other
            return AskPlayer(side, remedy.label, target, finding.id, None)
        case acts:
            return Enter((*acts, Answered(finding.id, How.PUT_RIGHT)))


def _theirs_ms(view: SeatView, finding: Finding) -> int | None:
    """When the partner entered what this seat lacks: there the act belongs."""
    theirs = finding.entries[view.partner]
    for entry in view.their_record:
        if entry.id == theirs:
            return entry.table_time_ms
    return None


def _status(view: SeatView, finding: Finding) -> str:
    texts = view.texts.cards
    if finding.id in _let_stand(view):
        return texts.stands_here
    if finding.id in _held(view):
        return texts.held
    reason = _reason(view, finding)
    return "" if reason is None else texts.stands_there(view.partner, reason)


def _held(view: SeatView) -> frozenset[str]:
    """The findings that this seat holds for the referees."""
    acts = (entry.act for entry in view.my_record)
    answers = (act for act in acts if isinstance(act, Answered))
    return frozenset(one.subject for one in answers if one.answer is How.HELD)


def _let_stand(view: SeatView) -> frozenset[str]:
    """The findings that this seat has let stand."""
    acts = (entry.act for entry in view.my_record)
    return frozenset(act.finding for act in acts if isinstance(act, LetStand))


def _reason(view: SeatView, finding: Finding) -> str | None:
    """Why the partner lets the finding stand, if it does."""
    for entry in reversed(view.their_record):
        match entry.act:
            case LetStand(finding=finding.id, reason=reason):
                return reason
            case _:
                pass
    return None
