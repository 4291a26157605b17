"""An official's finger: finds the keys for an act, and touches them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mobile.presenters.intents import (
    BeginSubstitution,
    ChoosePlayer,
    Enter,
    Page,
    Pick,
    Rows,
    ShowRows,
    ShowTeam,
    Substitute,
    TurnTo,
    TypeDigit,
)
from tablesync.core.act_words import clock_words
from tablesync.core.acts import (
    Basket,
    Charged,
    ClosePeriod,
    Foul,
    FreeThrow,
    SetClock,
    Substitution,
    TimeOut,
)

if TYPE_CHECKING:
    from mobile.presenters.intents import Intent
    from tablesync.core.acts import Act, Side
    from tests.mobile.seat_on_screen import SeatOnScreen

__all__ = ["Finger", "NoKeyError"]


class NoKeyError(Exception):
    """The screen offers no key for an act."""


class Finger:
    """Enters acts through the screen of one seat, as an official would.

    Every time that the finger comes down is one touch: a tap, a long press, or a slide
    from one key to another.
    """

    def __init__(self, seat: SeatOnScreen, *, slides: bool = False) -> None:
        """With `slides` whatever takes two keys that allow it is one slide."""
        self.seat = seat
        self._slides = slides

    async def enter(self, act: Act) -> int:
        """Enters an act, and tells how many touches that took.

        Raises:
            NoKeyError: there is no way to it on the screen.
        """
        before = self.seat.touches
        match act:
            case Substitution():
                await self._substitute(act)
            case SetClock(remaining_ms=remaining_ms):
                await self._set_clock(act, remaining_ms)
            case ClosePeriod():
                await self._tap(TurnTo(Page.CLOSE_OUT))
                await self._tap(Enter((act,)))
            case Foul(side=side, number=number) if number is not None:
                await self._turn_to(side, number)
                await self._foul(act)
            case Basket(side=side, number=number) | FreeThrow(side=side, number=number):
                await self._turn_to(side, number)
                await self._choose_or_tap(side, number, Enter((act,)))
            case TimeOut():
                await self._press(Enter((act,)))
            case _:
                await self._tap(Enter((act,)))
        return self.seat.touches - before

    async def _choose_or_tap(self, side: Side, number: str, intent: Intent) -> None:
        """Goes by the player's number where his row lacks the key."""
        number_key = self.seat.find(ChoosePlayer(side, number))
        if self.seat.find(intent) is not None or number_key is None:
            await self._tap(intent)
        elif self._slides:
            await self.seat.slide(number_key, intent)
        else:
            await self.seat.tap(number_key)
            await self._tap(intent)

    async def _press(self, intent: Intent) -> None:
        """Taps the key, or holds the one that means this when it is held."""
        held = next((k for k in self.seat.every_key() if k.rarer == intent), None)
        if held is None:
            await self._tap(intent)
        else:
            await self.seat.press_long(held)

    async def _tap(self, intent: Intent) -> None:
        key = self.seat.find(intent)
        if key is None:
            raise NoKeyError(str(intent))
        await self.seat.tap(key)

    async def _turn_to(self, side: Side, number: str) -> None:
        """Turns to the team where only one fits, and to the bench where he sits."""
        tab = self.seat.find(ShowTeam(side))
        if tab is not None and self.seat.shell.desk.team is not side:
            await self.seat.tap(tab)
        page = self.seat.shell.view().game.book.pages[side]
        rows = Rows.COURT if number in page.on_court else Rows.BENCH
        if self.seat.shell.desk.rows[side] is not rows:
            await self._tap(ShowRows(side, rows))

    async def _foul(self, act: Foul) -> None:
        """The usual kind is a tap on the boxes; any other is asked for."""
        if self.seat.find(Enter((act,))) is None:
            usual = Enter((Foul(act.side, act.number, Charged.PLAYER, "personal"),))
            key = self.seat.find(usual)
            if key is None:
                raise NoKeyError(str(usual))
            await self.seat.press_long(key)
        await self._tap(Enter((act,)))

    async def _substitute(self, act: Substitution) -> None:
        if not self._slides or len(act.on) != len(act.off):
            await self._pick(act)
            return
        for off, on in zip(act.off, act.on, strict=True):
            await self._turn_to(act.side, off)
            number = self.seat.find(ChoosePlayer(act.side, off))
            if number is not None:
                swap = Substitution(act.side, (on,), (off,))
                await self.seat.slide(number, Enter((swap,)))
                continue
            number = self.seat.find(BeginSubstitution(act.side, off))
            if number is None:
                raise NoKeyError(off)
            await self.seat.slide(number, Pick(act.side, on))

    async def _pick(self, act: Substitution) -> None:
        first, *others = (*act.off, *act.on)
        number = self.seat.find(ChoosePlayer(act.side, first))
        if number is not None and len(act.on) == len(act.off) == 1:
            await self.seat.tap(number)
            await self._tap(Enter((act,)))
            return
        if act.off and self.seat.find(BeginSubstitution(act.side, first)) is not None:
            await self._tap(BeginSubstitution(act.side, first))
        else:
            await self._tap(BeginSubstitution(act.side))
            others = [first, *others]
        for number in others:
            await self._tap(Pick(act.side, number))
        if len(act.on) != len(act.off):
            await self._tap(Substitute(act.side))

    async def _set_clock(self, act: SetClock, remaining_ms: int) -> None:
        await self._tap(TurnTo(Page.SET_CLOCK))
        for digit in clock_words(remaining_ms).replace(":", ""):
            await self._tap(TypeDigit(digit))
        await self._tap(Enter((act,)))
