"""What an official is in the middle of, and what each touch makes of it.

It holds nothing of the game: that is in the records. So it can be thrown away at any
moment, and a screen that is drawn anew from it and the game is the screen that was.
"""

from __future__ import annotations

from dataclasses import field, replace
from typing import TYPE_CHECKING

from mobile.presenters.intents import (
    Amend,
    AskPlayer,
    AskReason,
    AskWhy,
    AskWords,
    Back,
    BeginSubstitution,
    ChooseKind,
    ChoosePlayer,
    Enter,
    Fix,
    ForNote,
    ForProtest,
    ForSignature,
    FoulPlace,
    GiveReason,
    GiveWords,
    Intent,
    LeafThrough,
    NextCard,
    Page,
    Pick,
    Purpose,
    Rows,
    ShowRows,
    ShowTeam,
    Substitute,
    TurnTo,
    TypeDigit,
    TypeWords,
    Untype,
)
from tablesync.core.acts import (
    Answer,
    Answered,
    Correction,
    LetStand,
    Note,
    Protest,
    SeatGiven,
    Side,
    SignOff,
    Strike,
    Substitution,
)
from tablesync.core.remedies import FOUND
from tablesync.core.tally import PerSide
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from tablesync.core.acts import Act, EntryId
    from tablesync.core.team_page import TeamPage

__all__ = ["MOST_DIGITS", "Desk", "Step", "touched"]

LONGEST_WORDS = 400
MOST_DIGITS = 5
"""Minutes, seconds and tenths: 12:34.5."""


@dataclass(frozen=True, slots=True)
class Desk:
    """What has been begun and is not yet an entry."""

    page: Page = Page.PLAY
    team: Side = Side.HOME
    """The team shown where only one fits."""
    rows: PerSide[Rows] = field(default=PerSide(Rows.COURT, Rows.COURT))
    chosen: ChoosePlayer | None = None
    """The player all of whose keys are shown, where his row has few."""
    kind_of: FoulPlace | None = None
    """The foul whose kind is being chosen."""
    moving: Side | None = None
    """The team whose substitution is being picked."""
    picked: tuple[str, ...] = ()
    """The numbers picked for it, in order."""
    replacing: EntryId | None = None
    """The entry that the next act takes the place of."""
    asked: AskPlayer | None = None
    reason_for: str | None = None
    """The finding that is to stand, while its reason is asked for."""
    card: int = 0
    """How many cards have been put behind the others."""
    why: AskWhy | None = None
    """The entry of a closed period that waits for a reason."""
    reason: str = ""
    """The reason for which `replacing` is put right, once that has been given."""
    purpose: Purpose | None = None
    """What words are being typed for."""
    words: str = ""
    """As far as they are typed."""
    leaf: int = 0
    """How many leaves a list is turned back."""
    digits: str = ""
    """What has been typed on the number pad."""

    def at_rest(self) -> Desk:
        """The page of play with nothing begun."""
        return Desk(team=self.team, rows=self.rows)


@dataclass(frozen=True, slots=True)
class Step:
    """What a touch leads to."""

    desk: Desk
    acts: tuple[Act, ...] = ()
    """To be entered at once, in this order."""


def touched(desk: Desk, intent: Intent, pages: PerSide[TeamPage]) -> Step:
    """What a touch makes of the desk, and the acts that it enters.

    Args:
        desk: as it was before.
        intent: what the key that was touched means.
        pages: the book's pages, which say who is on court.
    """
    match intent:
        case Enter(acts=acts):
            return _enter(desk, acts)
        case (
            Pick(side=side, number=number)
            | BeginSubstitution(side=side, number=str(number))
        ):
            return _pick(desk, side, number, pages[side])
        case Substitute(side=side):
            return _substitute(desk, side, pages[side])
        case GiveReason(reason=reason):
            return _correct(desk, reason)
        case GiveWords():
            return _say(desk)
        case _:
            return Step(_turned(desk, intent))


def _turned(desk: Desk, intent: Intent) -> Desk:
    match intent:
        case BeginSubstitution(side=side):
            return replace(desk.at_rest(), team=side, moving=side)
        case ChoosePlayer(side=side):
            chosen = None if desk.chosen == intent else intent
            return replace(desk, chosen=chosen, team=side, kind_of=None)
        case ChooseKind(place=place):
            return replace(desk, kind_of=place, chosen=None, moving=None, picked=())
        case ShowTeam(side=side):
            return replace(desk, team=side, kind_of=None)
        case ShowRows(side=side, rows=rows):
            begun = replace(desk, team=side, chosen=None, kind_of=None)
            return replace(begun, rows=desk.rows.put(side, rows))
        case TurnTo(page=page):
            return replace(desk.at_rest(), page=page)
        case Back():
            return desk.at_rest()
        case Amend(entry=entry):
            return replace(desk.at_rest(), replacing=entry)
        case AskPlayer(side=side, strikes=strikes):
            return replace(desk.at_rest(), team=side, replacing=strikes, asked=intent)
        case AskReason(finding=finding):
            return replace(desk, reason_for=finding)
        case AskWhy():
            return replace(desk, why=intent)
        case AskWords(purpose=purpose):
            return replace(desk.at_rest(), page=Page.WORDS, purpose=purpose)
        case TypeWords(text=text):
            return replace(desk, words=text)
        case NextCard():
            return replace(desk, card=desk.card + 1, reason_for=None)
        case LeafThrough(by=by):
            return replace(desk, leaf=max(0, desk.leaf + by))
        case TypeDigit(digit=digit):
            digits = (desk.digits + digit).lstrip("0")[:MOST_DIGITS]
            return replace(desk, digits=digits)
        case Untype():
            return replace(desk, digits=desk.digits[:-1])
        case _:
            raise AssertionError(f"{intent} enters something")


def _enter(desk: Desk, acts: tuple[Act, ...]) -> Step:
    rest = replace(desk.at_rest(), rows=PerSide(Rows.COURT, Rows.COURT))
    match acts:
        case (Strike() | LetStand() | Note() | SeatGiven(), *_) | (*_, Answered()):
            # A card's or a line's own key: what was begun on the page stays begun.
            return Step(replace(desk, reason_for=None), acts)
        case (act,) if desk.replacing is not None and desk.reason:
            return Step(rest, (Correction(desk.replacing, act, None, desk.reason),))
        case (act,) if desk.asked is not None and desk.asked.at_ms is not None:
            # Entered as of now, it would pair with nothing of that time.
            added = Correction(None, act, desk.asked.at_ms, FOUND)
            return Step(rest, (added, *_put_right(desk)))
        case _ if desk.replacing is not None:
            return Step(rest, (Strike(desk.replacing), *acts, *_put_right(desk)))
        case _:
            return Step(rest, (*acts, *_put_right(desk)))


def _put_right(desk: Desk) -> tuple[Act, ...]:
    """What says that a finding was put right by the act that its card asked for."""
    if desk.asked is None:
        return ()
    return (Answered(desk.asked.finding, Answer.PUT_RIGHT),)


def _correct(desk: Desk, reason: str) -> Step:
    """Goes on with the entry of a closed period, now that there is a reason."""
    if desk.why is None:
        return Step(desk)
    entry = desk.why.entry
    match desk.why.fix:
        case Fix.STRIKE:
            correction = Correction(entry, None, None, reason)
            return Step(replace(desk, why=None), (correction,))
        case Fix.AMEND:
            return Step(replace(desk.at_rest(), replacing=entry, reason=reason))


def _say(desk: Desk) -> Step:
    """Puts typed words on record; none are none."""
    words = desk.words.strip()[:LONGEST_WORDS]
    match desk.purpose:
        case None:
            return Step(desk.at_rest())
        case _ if not words:
            return Step(desk.at_rest())
        case ForNote():
            return Step(desk.at_rest(), (Note(words),))
        case ForProtest(side=side):
            return Step(_signing(desk), (Protest(side, words),))
        case ForSignature(role=role):
            return Step(_signing(desk), (SignOff(role, words),))


def _signing(desk: Desk) -> Desk:
    return replace(desk.at_rest(), page=Page.SIGN_OFF)


def _pick(desk: Desk, side: Side, number: str, page: TeamPage) -> Step:
    picked = desk.picked if desk.moving is side else ()
    if number in picked:
        picked = tuple(one for one in picked if one != number)
    else:
        picked = (*picked, number)
    begun = replace(desk.at_rest(), team=side, moving=side, picked=picked)
    on, off = _sorted_out(picked, page)
    return _substitute(begun, side, page) if len(on) == len(off) > 0 else Step(begun)


def _substitute(desk: Desk, side: Side, page: TeamPage) -> Step:
    on, off = _sorted_out(desk.picked, page)
    if not on and not off:
        return Step(desk.at_rest())
    return _enter(desk, (Substitution(side, on, off),))


def _sorted_out(
    picked: tuple[str, ...], page: TeamPage
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    on = tuple(number for number in picked if number not in page.on_court)
    off = tuple(number for number in picked if number in page.on_court)
    return on, off
