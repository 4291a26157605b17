"""The sign-off: the result, what is still open, and who has to sign."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mobile.presenters.intents import AskWords, Enter, ForProtest, ForSignature
from tablesync.core.acts import Seat, Signer, SignOff
from tablesync.core.sign_off import sign_off_state
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from mobile.presenters.intents import Intent
    from mobile.presenters.seat_view import SeatView
    from tablesync.core.acts import Side
    from tablesync.core.sign_off import SignOffState

__all__ = ["FinalTeam", "SignLine", "SignOffPage", "sign_off_page"]


@dataclass(frozen=True, slots=True)
class FinalTeam:
    """One team's line of the result."""

    name: str
    colour: str
    score: int
    periods: tuple[int, ...]
    """Points by period."""


@dataclass(frozen=True, slots=True)
class SignLine:
    """One signature, given or to come."""

    role: str
    words: str
    """Who has signed, or at which seat it is to be done."""
    signed: bool
    label: str
    sign: Intent | None
    """None where it is done, or is not done at this seat."""


@dataclass(frozen=True, slots=True)
class SignOffPage:
    """The page on which the record is signed."""

    title: str
    periods: tuple[str, ...]
    """What the columns of the periods are called."""
    teams: tuple[FinalTeam, FinalTeam]
    open_words: str
    """What is still open between the records, or that nothing is."""
    is_open: bool
    lines: tuple[SignLine, ...]
    protests: tuple[str, ...]
    protest_keys: tuple[tuple[str, Intent], ...]
    closed: str
    """That the record is closed, or empty while it is not."""


def sign_off_page(view: SeatView) -> SignOffPage:
    """The page as it stands."""
    texts, game = view.texts.sign_off, view.game
    records = {Seat.BOOK: game.book.record, Seat.CLOCK: game.board.record}
    state = sign_off_state(records)
    findings = len(game.open_findings())
    left, right = view.sides
    periods = max(1, game.book.periods.last)
    protests = () if state.is_closed else view.sides
    return SignOffPage(
        title=texts.title,
        periods=tuple(texts.period(game.rules, n) for n in range(1, periods + 1)),
        teams=(_team(view, left, periods), _team(view, right, periods)),
        open_words=texts.open_findings(findings),
        is_open=findings > 0,
        lines=tuple(_line(view, state, role) for role in Signer),
        protests=tuple(
            texts.protest(view.colour(one.side), one.reason) for one in state.protests
        ),
        protest_keys=tuple(
            (texts.protest_key(view.colour(side)), AskWords(ForProtest(side)))
            for side in protests
            if view.seat is Seat.BOOK
        ),
        closed=texts.closed if state.is_closed else "",
    )


def _team(view: SeatView, side: Side, periods: int) -> FinalTeam:
    page = view.game.book.pages[side]
    return FinalTeam(
        page.team.name,
        page.team.colour,
        view.game.book.tally.score[side],
        tuple(page.points_in(period) for period in range(1, periods + 1)),
    )


def _line(view: SeatView, state: SignOffState, role: Signer) -> SignLine:
    texts = view.texts.sign_off
    name = next((s.name for s in reversed(state.signatures) if s.role is role), None)
    if name is not None:
        words = texts.signed(name)
        return SignLine(texts.role(role), words, signed=True, label="", sign=None)
    seat = Seat.CLOCK if role is Signer.TIMER else Seat.BOOK
    if seat is not view.seat:
        words = texts.elsewhere(seat)
        return SignLine(texts.role(role), words, signed=False, label="", sign=None)
    expected = _expected(view, role)
    if not expected:
        sign: Intent = AskWords(ForSignature(role))
    else:
        sign = Enter((SignOff(role, expected),))
    # The referee's signature closes the record, so the others come first.
    is_turn = role is not Signer.REFEREE or state.missing == (Signer.REFEREE,)
    label = texts.sign(expected)
    return SignLine(
        texts.role(role),
        texts.to_sign if is_turn else texts.last,
        signed=False,
        label=label,
        sign=sign if is_turn else None,
    )


def _expected(view: SeatView, role: Signer) -> str:
    """The name on the sheet, or empty."""
    officials = view.game.sheet.officials
    return next((one.name for one in officials if one.role == role.value), "")
