"""A device gets in at a relay behind its gate: TLS, codes, invitations, confirming."""

from __future__ import annotations

import asyncio
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from mobile.court_watch import CourtWatch
from mobile.device_seat import DeviceSeat
from mobile.journals import begin
from mobile.network_scout import NetworkScout
from mobile.presenters.cues import Cue
from mobile.presenters.intents import OpenCourt
from mobile.presenters.start_page import StartDesk
from mobile.settings import Language, Settings
from tablesync.admission.invitation import EVERY_GAME, Invitation
from tablesync.admission.short_code import code_text
from tablesync.client import DeviceSession
from tablesync.clock import MonotonicClock
from tablesync.core.acts import Basket, OpenPeriod, Seat, SeatGiven, Side
from tablesync.sheet_bytes import read_sheet
from tablesync.sync.timing import Timing
from tablesync.taking_seat import take_seat
from tablesync.tasks import call_off
from tests.guarded import Hall
from tests.mobile.seat_on_screen import SeatOnScreen
from tests.sync.table import SHEET

if TYPE_CHECKING:
    from collections.abc import Callable, Coroutine
    from pathlib import Path

    from mobile.choice import Choice
    from mobile.cover import Cover
    from tests.mobile.window import TestWindow

pytestmark = pytest.mark.screens

PHONE, TABLET = (360, 640), (1280, 800)
PATIENCE_S = 20


class _Place:
    """Stands in for the program's window."""

    def __init__(self, window: TestWindow, size: tuple[int, int] = PHONE) -> None:
        self._window = window
        self._size = size
        self.shown: Any = None

    def show(self, widget: Any) -> None:
        self.shown = widget
        self._window.show(widget, self._size)

    async def until(self, is_so: Callable[[], bool]) -> None:
        """Lets frames and the network go on until something is so."""
        async with asyncio.timeout(PATIENCE_S):
            while not is_so():
                self._window.frames(1)
                await asyncio.sleep(0.005)

    def type_into(self, hint: str, text: str) -> None:
        """Types into the field that says this while it is empty."""
        from kivy.uix.textinput import TextInput

        fields = (w for w in self.shown.walk() if isinstance(w, TextInput))
        field = next(one for one in fields if hint in one.hint_text)
        field.text = ""
        field.insert_text(text)
        self._window.frames(2)

    async def tap(self, label: str) -> None:
        """Touches the key that says this, once there is something to do."""
        from mobile.widgets.key import Key

        def key() -> Any:
            keys = (w for w in self.shown.walk() if isinstance(w, Key))
            return next((k for k in keys if k.label == label and k.intent), None)

        await self.until(lambda: key() is not None)
        self._window.frames(2)
        self._window.touch(key().center)


def _run(
    window: TestWindow, folder: Path, play: Callable[[Hall], Coroutine[Any, Any, None]]
) -> None:
    async def run() -> None:
        async with Hall(folder, timing=Timing()) as hall:
            await play(hall)

    (folder / "device").mkdir()
    window.loop.run_until_complete(run())


def _cover(relay: str, language: Language = Language.ENGLISH) -> Cover:
    from mobile.cover import Cover

    return Cover(
        (), StartDesk((), relay=relay, folder="games"), Settings(language=language)
    )


async def _is_in(choice: Choice, folder: Path) -> None:
    """The device goes on from its cover to the relay, without any secret."""
    journal = await begin(folder, choice.seat, choice.sheet)
    async with await DeviceSession.open(journal, MonotonicClock(), Timing()) as session:
        await session.connect(choice.relay)
        await session.wait_for(lambda: session.is_quiet)
        await session.enter(OpenPeriod(1))
        await session.wait_for(lambda: session.unacknowledged == 0)


def test_the_relays_place_and_a_spoken_code_take_a_seat(
    window: TestWindow, tmp_path: Path
) -> None:
    async def play(hall: Hall) -> None:
        offer = await hall.offer(Seat.CLOCK)
        folder, place, cover = tmp_path / "device", _Place(window), _cover("")
        asking = asyncio.create_task(cover.ask(place, NetworkScout(folder)))
        await asyncio.sleep(0)
        place.type_into("ws://", f"127.0.0.1:{hall.relay.port}")
        right = code_text(offer.number, offer.digits)
        wrong = right[:-1] + str((int(right[-1]) + 1) % 10)
        place.type_into("3-481-926", wrong)
        await place.tap("use the code")
        await place.until(lambda: "code" in cover.screen.model.trouble)
        place.type_into("3-481-926", right)
        await place.tap("use the code")
        await place.tap("open the book")
        choice = await asking
        assert choice.seat is Seat.CLOCK
        assert choice.sheet == read_sheet(SHEET)
        assert choice.relay == str(hall.address)
        await _is_in(choice, folder)
        assert await hall.held() > 0

    _run(window, tmp_path, play)


def test_an_invitation_that_is_pasted_takes_its_seat(
    window: TestWindow, tmp_path: Path
) -> None:
    async def play(hall: Hall) -> None:
        invitation = await hall.invitation(Seat.BOOK)
        folder, place, cover = tmp_path / "device", _Place(window), _cover("")
        asking = asyncio.create_task(cover.ask(place, NetworkScout(folder)))
        await asyncio.sleep(0)
        place.type_into("ws://", str(invitation))
        await place.tap("open the book")
        choice = await asking
        assert (choice.seat, choice.relay) == (Seat.BOOK, str(hall.address))
        await _is_in(choice, folder)

    _run(window, tmp_path, play)


@pytest.mark.parametrize(
    ("language", "said"),
    [(Language.ENGLISH, "certificate"), (Language.GERMAN, "Zertifikat")],
)
def test_a_relay_with_another_certificate_is_told_and_gets_no_secret(
    window: TestWindow, tmp_path: Path, language: Language, said: str
) -> None:
    async def play(hall: Hall) -> None:
        right = await hall.invitation(Seat.BOOK)
        relay = replace(hall.address, certificate=b"\x01" * 32)
        wrong = Invitation(relay, right.game, right.seat, right.secret)
        place, cover = _Place(window), _cover(str(wrong), language)
        scout = NetworkScout(tmp_path / "device")
        asking = asyncio.create_task(cover.ask(place, scout))
        await place.until(lambda: said in cover.screen.model.trouble)
        assert cover.screen.model.begin.intent is None
        assert not any(offer.is_used for offer in await hall.admissions.offers())
        await call_off(asking)

    _run(window, tmp_path, play)


def test_the_directors_window_follows_a_relay_by_an_invitation(
    window: TestWindow, tmp_path: Path
) -> None:
    async def play(hall: Hall) -> None:
        from mobile.director_desk import direct

        book = await hall.seated(Seat.BOOK)
        await book.enter(OpenPeriod(1))
        invitation = await hall.invitation(None, EVERY_GAME)
        place = _Place(window, TABLET)
        watch = CourtWatch(str(invitation), hall.clock)
        directing = asyncio.create_task(direct(place, watch, Settings()))
        await place.until(lambda: bool(place.shown and place.shown.model))
        await book.enter(Basket(Side.HOME, "4", 2))
        await place.until(lambda: place.shown.model[0].teams[0].book == "2")
        await call_off(directing)

    _run(window, tmp_path, play)


def test_the_directors_key_lets_a_second_device_in_and_the_partners_card_goes(
    window: TestWindow, tmp_path: Path
) -> None:
    async def play(hall: Hall) -> None:
        from mobile.director_desk import direct

        await hall.seated(Seat.BOOK)
        session = await hall.seated(Seat.CLOCK)
        invitation = await hall.invitation(None, EVERY_GAME)
        place = _Place(window, TABLET)
        watch = CourtWatch(str(invitation), hall.clock)
        directing = asyncio.create_task(direct(place, watch, Settings()))
        await place.until(lambda: bool(place.shown and place.shown.model))
        taking = asyncio.create_task(
            take_seat(
                await hall.invitation(Seat.BOOK), tmp_path / "device", lambda _: None
            )
        )
        await place.until(lambda: "waits" in place.shown.model[0].links)
        place.shown.dispatch("on_touched", OpenCourt(place.shown.model[0].id))
        (ask,) = place.shown.page.asks
        place.shown.dispatch("on_touched", ask.intent)
        assert await taking == read_sheet(SHEET)
        await place.until(lambda: place.shown.page.asks == ())
        (journal,) = (tmp_path / "device").glob("*.journal")
        new = await hall.session_at(journal)
        await new.connect(str(hall.address))
        clock = SeatOnScreen(window, DeviceSeat(session))
        await session.wait_for(lambda: len(session.game.history) == 3)
        await clock.show()
        assert session.asking
        assert clock.stage.frame.model.cards == ()
        await call_off(directing)

    _run(window, tmp_path, play)


def test_a_second_device_is_heard_seen_and_let_in_by_one_key(
    window: TestWindow, tmp_path: Path
) -> None:
    async def play(hall: Hall) -> None:
        await hall.seated(Seat.BOOK)
        session = await hall.seated(Seat.CLOCK)
        clock = SeatOnScreen(window, DeviceSeat(session))
        working = asyncio.create_task(clock.shell.work(clock.stage.refresh))
        invitation = await hall.invitation(Seat.BOOK)
        taking = asyncio.create_task(
            take_seat(invitation, tmp_path / "device", lambda _: None)
        )
        await session.wait_for(lambda: bool(session.asking))
        await clock.show()
        assert clock.around.cues == [Cue.NOTICE]
        assert clock.stage.frame.model.cards[0].head == "ANOTHER DEVICE"
        await clock.tap(clock.labelled("let it in"))
        assert await taking == read_sheet(SHEET)
        given = [e.act for e in session.game.history if isinstance(e.act, SeatGiven)]
        assert [act.seat for act in given] == [Seat.BOOK]
        assert clock.stage.frame.model.cards == ()
        await call_off(working)

    _run(window, tmp_path, play)
