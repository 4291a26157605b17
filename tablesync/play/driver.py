"""Plays a scenario: a real relay, a real device for each seat, and a clock that jumps.

The clock jumps from step to step. After each jump the play waits until everything that
has been said is answered, so that the outcome depends on the scenario alone.
"""

from __future__ import annotations

import hashlib
from contextlib import AsyncExitStack
from dataclasses import replace
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from tablesync.client import DeviceSession
from tablesync.clock import VirtualClock
from tablesync.core.acts import Seat, Strike
from tablesync.core.findings import Cleared, Raised, Revised
from tablesync.journal import Journal
from tablesync.play.expectations import unmet
from tablesync.play.happenings import (
    Checked,
    Ended,
    Entered,
    Happening,
    LinkChanged,
    Noticed,
    Unmet,
)
from tablesync.scenario import Enter, Expect, LinkChange, LinkState, StrikeOut
from tablesync.seal import DeviceKey
from tablesync.server import serve
from tablesync.sheet_bytes import game_id, write_sheet
from tablesync.store import Store
from tablesync.sync.claim import Claim
from tablesync.sync.timing import Timing

if TYPE_CHECKING:
    from collections.abc import AsyncGenerator, Iterator

    from tablesync.core.acts import EntryId
    from tablesync.core.findings import CheckEvent
    from tablesync.core.game import Game
    from tablesync.scenario import Scenario, Step

__all__ = ["Play"]

SEATS = (Seat.BOOK, Seat.CLOCK)
NEVER_MS = 2**40
TIMING = Timing(heartbeat_ms=1, silence_ms=NEVER_MS, hello_ms=NEVER_MS)
"""A beat at every jump, and no silence: the script alone cuts links."""
AFTERWARDS_MS = 10 * 60_000
"""How long the table sits on after the last step, so that what is awaited settles."""


class Play:
    """One play of a scenario."""

    def __init__(self, scenario: Scenario) -> None:
        self.scenario = scenario
        self.labels: dict[EntryId, str] = {}
        """The name of every entry made so far, the scenario's where it gives one."""
        self._ids: dict[str, EntryId] = {}
        self._clock = VirtualClock()
        self._sheet = write_sheet(scenario.sheet)
        self._sessions: dict[Seat, DeviceSession] = {}
        self._devices = 0
        self._told_to_ms = 0
        self._linked_at_ms = 0
        self._notices = 0

    async def happenings(self) -> AsyncGenerator[Happening, None]:
        """Plays the scenario once, and gives what happens in the order of time."""
        async with AsyncExitStack() as self._stack:
            folder = self._stack.enter_context(TemporaryDirectory(prefix="tablesync-"))
            self._folder = Path(folder)
            store = await self._stack.enter_async_context(
                await Store.open(self._folder / "relay.db")
            )
            self._relay = await self._stack.enter_async_context(
                await serve(store, self._clock, TIMING, "127.0.0.1", 0)
            )
            for seat in SEATS:
                await self._seat_device(seat)
            for step in self.scenario.steps:
                self._clock.advance_to(step.t_ms)
                for happening in await self._take(step):
                    yield happening
            self._clock.advance_to(self._clock.now_ms() + AFTERWARDS_MS)
            await self._settle()
            for happening in self._checked():
                yield happening
            yield Ended(self._clock.now_ms(), self._game)

    @property
    def _game(self) -> Game:
        """The game as the book's device sees it."""
        return self._sessions[Seat.BOOK].game

    async def _seat_device(self, seat: Seat) -> None:
        """Seats a new device. Its key follows from the game, so that ids repeat."""
        self._devices += 1
        secret = hashlib.sha256(self._sheet + bytes([self._devices])).digest()
        claim = Claim(DeviceKey(secret), game_id(self._sheet), seat, self._sheet)
        path = self._folder / f"{self._devices}.journal"
        journal = await Journal.create(path, claim)
        session = await DeviceSession.open(journal, self._clock, TIMING)
        self._sessions[seat] = await self._stack.enter_async_context(session)
        await session.connect(self._relay.address)
        await self._settle()

    async def _take(self, step: Step) -> list[Happening]:
        """Carries a step out, and gives what has happened up to its end."""
        done: list[Happening] = []
        match step:
            case Enter():
                done.append(await self._enter(step))
            case LinkChange(seat=seat, state=state):
                await self._change_link(seat, state)
                done.append(LinkChanged(step.t_ms, seat, state))
            case Expect():
                pass
        await self._settle()
        checked = list(self._checked())
        sooner = [one for one in checked if one.t_ms < step.t_ms]
        later = [one for one in checked if one.t_ms >= step.t_ms]
        happened = [*sooner, *done, *self._noticed(), *later]
        if isinstance(step, Expect):
            games = {seat: session.game for seat, session in self._sessions.items()}
            what = unmet(step, games, self.labels)
            happened += [Unmet(step.t_ms, step, words) for words in what]
        return happened

    async def _enter(self, step: Enter) -> Entered:
        act = step.act
        if isinstance(act, StrikeOut):
            act = Strike(self._ids[act.label])
        entry = await self._sessions[step.seat].enter(act)
        label = step.label or f"{step.seat}#{len(self.labels) + 1}"
        self.labels[entry.id] = label
        self._ids[label] = entry.id
        book, clock = (self._sessions[seat].game for seat in SEATS)
        return Entered(
            step.t_ms,
            entry,
            label,
            clock.board.clock.reading(step.t_ms),
            book.tally(Seat.BOOK),
            clock.tally(Seat.CLOCK),
        )

    async def _change_link(self, seat: Seat, state: LinkState) -> None:
        session = self._sessions[seat]
        match state:
            case LinkState.DOWN:
                await session.disconnect()
            case LinkState.UP:
                if not session.is_connected:
                    await session.connect(self._relay.address)
                self._linked_at_ms = self._clock.now_ms()
            case LinkState.REPLACED:
                await session.disconnect()
                await self._seat_device(seat)
                self._linked_at_ms = self._clock.now_ms()

    async def _settle(self) -> None:
        """Waits until whoever is connected has heard all that has been said."""
        connected = [s for s in self._sessions.values() if s.is_connected]
        while not all(self._has_settled(session, connected) for session in connected):
            for session in connected:
                await session.wait_for(partial(self._has_settled, session, connected))

    def _has_settled(
        self, session: DeviceSession, connected: list[DeviceSession]
    ) -> bool:
        if not session.is_connected:
            return True
        held = max(len(other.game.history) for other in connected)
        is_complete = session.game.horizon_ms >= self._clock.now_ms()
        return (
            session.is_quiet
            and len(session.game.history) == held
            and (is_complete or len(connected) < len(SEATS))
        )

    def _checked(self) -> Iterator[Checked]:
        """What the check says since the last call, at the book's device."""
        told_to_ms = self._told_to_ms
        self._told_to_ms = self._game.horizon_ms
        for event in self._sessions[Seat.BOOK].take_events():
            at_ms = _time_of(event)
            # A device that has just taken the seat goes through all of it again.
            if at_ms >= told_to_ms:
                shown_ms = max(at_ms, self._linked_at_ms)
                yield Checked(shown_ms, _shown_from(event, shown_ms))

    def _noticed(self) -> Iterator[Noticed]:
        notices = self._game.notices()
        for notice in notices[self._notices :]:
            yield Noticed(notice.at_ms, notice)
        self._notices = max(self._notices, len(notices))


def _time_of(event: CheckEvent) -> int:
    match event:
        case Raised(finding) | Revised(finding):
            return finding.raised_at_ms
        case Cleared(at_ms=at_ms):
            return at_ms


def _shown_from(event: CheckEvent, shown_ms: int) -> CheckEvent:
    """The event as the officials saw it: not before their link was back."""
    match event:
        case Raised(finding):
            return Raised(replace(finding, raised_at_ms=shown_ms))
        case Revised() | Cleared():
            return event
