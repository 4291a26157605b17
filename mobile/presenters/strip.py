"""The agreement strip: my value and my partner's, item by item, and how they stand."""

from __future__ import annotations

from enum import Enum
from typing import TYPE_CHECKING

from mobile.presenters.team_fouls import fouls_in_span
from tablesync.core.acts import Side
from tablesync.core.findings import Cause
from tablesync.core.tally import Item
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from mobile.presenters.seat_view import SeatView
    from tablesync.core.findings import Awaited, Finding
    from tablesync.core.tally import Tally

__all__ = ["Agreement", "Cell", "PartnerCell", "Strip", "strip"]


class Agreement(Enum):
    """How the two records stand in one item."""

    AGREED = "="
    SETTLING = "…"
    MISMATCH = "≠"
    UNHEARD = "?"
    """The partner is out of touch, so nothing can be said."""


@dataclass(frozen=True, slots=True)
class Cell:
    """One item of the strip."""

    item: Item
    side: Side | None
    title: str
    short_title: str
    """The same where there is little room."""
    mine: str
    theirs: str
    state: Agreement
    words: str
    """The state in words: never the sign or the colour alone."""


@dataclass(frozen=True, slots=True)
class PartnerCell:
    """The partner's seat, and when it was last heard."""

    title: str
    name: str
    words: str
    in_touch: bool


@dataclass(frozen=True, slots=True)
class Strip:
    """All cells, in their order on the screen."""

    cells: tuple[Cell, ...]
    partner: PartnerCell


def strip(view: SeatView) -> Strip:
    """The strip as this seat sees it."""
    left, right = view.sides
    places: tuple[tuple[Item, Side | None], ...] = (
        (Item.SCORE, left),
        (Item.SCORE, right),
        (Item.TEAM_FOULS, left),
        (Item.TEAM_FOULS, right),
        (Item.PERIOD, None),
        (Item.TIME_OUTS, left),
        (Item.TIME_OUTS, right),
        (Item.ARROW, None),
    )
    findings, awaited = view.game.open_findings(), view.game.awaited()
    cells = tuple(
        _cell(
            view,
            (item, side),
            next((f for f in findings if _concerns(f, item, side)), None),
            next((a for a in awaited if (a.item, a.side) == (item, side)), None),
        )
        for item, side in places
    )
    return Strip(cells, _partner(view))


def _concerns(finding: Finding, item: Item, side: Side | None) -> bool:
    if finding.item is not item:
        return False
    # An act given to the wrong team is too little on one side, too much on the other.
    return finding.side is side or finding.cause is Cause.SIDES_DIFFER


def _cell(
    view: SeatView,
    place: tuple[Item, Side | None],
    finding: Finding | None,
    awaited: Awaited | None,
) -> Cell:
    item, side = place
    mine, theirs = (_value(view, t, item, side) for t in (view.mine, view.theirs))
    texts = view.texts.strip
    if finding is not None:
        state, words = Agreement.MISMATCH, _difference(view, item, (mine, theirs))
    elif not view.in_touch:
        state, words = Agreement.UNHEARD, texts.unheard
    elif awaited is not None:
        state, words = Agreement.SETTLING, _awaited(view, awaited)
    elif mine == theirs:
        state, words = Agreement.AGREED, texts.agreed
    else:
        state, words = Agreement.SETTLING, texts.settling
    return Cell(
        item,
        side,
        _title(view, view.texts.strip.item(item), side),
        _title(view, view.texts.strip.short_item(item), side),
        _shown(view, mine),
        _shown(view, theirs),
        state,
        words,
    )


def _awaited(view: SeatView, awaited: Awaited) -> str:
    texts = view.texts.strip
    age_s = max(0, view.now_ms - awaited.since_ms) // 1000
    if awaited.seat is view.seat:
        return texts.mine_to_come(age_s)
    return texts.theirs_to_come(awaited.seat, age_s)


def _value(
    view: SeatView, tally: Tally, item: Item, side: Side | None
) -> int | Side | None:
    match item, side:
        case Item.SCORE, Side():
            return tally.score[side]
        case Item.TEAM_FOULS, Side():
            return fouls_in_span(view, tally, side, view.mine.period)
        case Item.TIME_OUTS, Side():
            return tally.time_outs[side]
        case Item.PERIOD, _:
            return tally.period
        case _:
            return tally.arrow


def _shown(view: SeatView, value: int | Side | None) -> str:
    match value:
        case Side():
            return view.colour(value)
        case None:
            return view.texts.strip.nobody
        case _:
            return str(value)


def _difference(
    view: SeatView, item: Item, values: tuple[int | Side | None, int | Side | None]
) -> str:
    texts = view.texts.strip
    match item, values:
        case ((Item.PERIOD | Item.ARROW), _):
            return texts.differs
        case _, (int(mine), int(theirs)) if mine > theirs:
            return texts.theirs_lacks(view.partner, mine - theirs)
        case _, (int(mine), int(theirs)) if mine < theirs:
            return texts.mine_lacks(theirs - mine)
        case _:
            return texts.cancels


def _title(view: SeatView, title: str, side: Side | None) -> str:
    return title if side is None else f"{title} {view.colour(side)}"


def _partner(view: SeatView) -> PartnerCell:
    texts = view.texts.strip
    silent_ms = view.silent_ms
    if silent_ms is None:
        words = texts.never_heard if view.link.connected else texts.no_link
    elif view.in_touch:
        words = texts.in_touch
    elif view.link.connected:
        words = texts.silent(silent_ms // 1000)
    else:
        words = texts.cut_off(silent_ms // 1000)
    if view.link.to_send and not view.in_touch:
        words = f"{words}, {texts.to_send(view.link.to_send)}"
    return PartnerCell(
        texts.partner, texts.seat(view.partner), words, in_touch=view.in_touch
    )
