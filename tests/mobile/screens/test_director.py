from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from mobile.presenters.court_page import court_page
from mobile.presenters.courts import court_cards
from mobile.presenters.intents import OpenCourt
from mobile.settings import Language, Settings
from mobile.texts.english import ENGLISH
from mobile.texts.german import GERMAN
from mobile.theme import PAPER, SLATE, Theme
from tablesync.core.acts import Seat
from tablesync.core.summary import PAIR, Asked, Newcomer
from tablesync.core.vector_clock import DeviceId
from tests.mobile import scenes
from tests.mobile.pictures import assert_looks_like

if TYPE_CHECKING:
    from mobile.director_desk import DirectorDesk
    from mobile.presenters.court_page import CourtPage
    from mobile.presenters.courts import Court
    from mobile.texts.shape import Texts
    from tests.mobile.window import TestWindow

pytestmark = pytest.mark.screens

TABLET, PHONE = (1280, 800), (360, 640)


def _screen(
    window: TestWindow,
    count: int,
    size: tuple[int, int] = TABLET,
    look: Theme = PAPER,
) -> Any:
    from kivy.core.window import Window

    from mobile.screens.director import DirectorScreen

    Window.clearcolor = look.margin.ground.rgba
    courts, now_ms = scenes.courts(count)
    screen = DirectorScreen(look=look)
    screen.model = court_cards(courts, now_ms, ENGLISH)
    screen.head = ENGLISH.director.title(count)
    window.show(screen, size)
    return screen


def test_a_touch_opens_the_court_under_the_finger(window: TestWindow) -> None:
    screen = _screen(window, 12)
    opened: list[object] = []
    screen.bind(on_touched=lambda _, intent: opened.append(intent))
    box = screen.courts.box_of(1)
    window.touch((box.x + 20, box.y + 20))
    assert opened == [OpenCourt(screen.model[1].id)]


def test_a_finger_moves_the_list_and_opens_nothing(window: TestWindow) -> None:
    screen = _screen(window, 200)
    opened: list[object] = []
    screen.bind(on_touched=lambda _, intent: opened.append(intent))
    finger = window.down((600, 200))
    window.frames(1)
    window.move(finger, (600, 700))
    window.frames(1)
    window.up(finger)
    window.frames(2)
    assert screen.courts.scrolled == pytest.approx(500, abs=2)
    assert opened == []


def test_no_card_moves_away_from_under_a_finger(window: TestWindow) -> None:
    screen = _screen(window, 7)
    first = screen.courts.model[0]
    finger = window.down((600, 500))
    window.frames(1)
    screen.model = screen.model[::-1]
    window.frames(2)
    assert screen.courts.model[0] == first
    window.move(finger, (600, 600))
    window.up(finger)
    window.frames(2)
    assert screen.courts.model[-1] == first


def test_the_list_ends_with_its_last_court(window: TestWindow) -> None:
    screen = _screen(window, 200)
    screen.courts.scrolled = screen.courts.most_scrolled
    window.frames(3)
    last = screen.courts.box_of(199)
    assert last.y + screen.courts.scrolled >= screen.courts.y
    assert _screen(window, 3).courts.most_scrolled == 0


@pytest.mark.parametrize(
    ("size", "look", "name"),
    [(TABLET, PAPER, "director-tablet"), (PHONE, SLATE, "director-phone")],
)
def test_the_courts_look_as_they_were_approved(
    window: TestWindow, size: tuple[int, int], look: Theme, name: str
) -> None:
    screen = _screen(window, 14, size, look)
    assert_looks_like(name, window.picture())
    courts, now_ms = scenes.courts(14)
    worst = next(court for court in courts if court.id == screen.model[0].id)
    screen.page = court_page(worst, now_ms, ENGLISH)
    assert_looks_like(f"{name}-court", window.picture())


class _Courts:
    """Courts that the test can change."""

    def __init__(self, count: int) -> None:
        self.known, self.now_ms = scenes.courts(count)
        self.relay = "ws://10.0.0.5:8642"
        self.silent: int | None = 0
        self.let: list[tuple[str, Newcomer]] = []

    def courts(self) -> list[Court]:
        return self.known

    def let_in(self, court: str, newcomer: Newcomer) -> None:
        self.let.append((court, newcomer))

    def table_ms(self) -> int:
        return self.now_ms

    def silent_ms(self) -> int | None:
        return self.silent


def _page(desk: DirectorDesk) -> CourtPage | None:
    return desk.screen.page


def test_a_court_is_opened_and_left_again_and_shows_what_comes_in(
    window: TestWindow,
) -> None:
    from mobile.director_desk import DirectorDesk
    from mobile.widgets.key import Key

    courts = _Courts(7)
    desk = DirectorDesk(courts, Settings())
    window.show(desk.screen, TABLET)
    box = desk.screen.courts.box_of(0)
    window.touch((box.x + 20, box.y + 20))
    opened = _page(desk)
    assert opened is not None
    assert len(opened.findings) == 1
    courts.now_ms += 30_000
    desk.refresh()
    assert _page(desk) != opened
    back = next(w for w in desk.screen.walk() if isinstance(w, Key))
    window.touch(back.center)
    assert _page(desk) is None
    courts.known = courts.known[:3]
    desk.refresh()
    assert len(desk.screen.model) == 3


def _asked(court: Court, *seats: Seat) -> Court:
    """The court, where a device waits for each of these seats."""
    newcomers = tuple(Newcomer(DeviceId(bytes([7]) * 32), seat) for seat in seats)
    return replace(court, summary=replace(court.summary, asked=Asked(newcomers)))


@pytest.mark.parametrize("texts", [ENGLISH, GERMAN], ids=["en", "de"])
@pytest.mark.parametrize("size", [TABLET, PHONE], ids=["tablet", "phone"])
def test_a_device_that_waits_puts_its_court_first_and_is_let_in_by_its_key(
    window: TestWindow, texts: Texts, size: tuple[int, int]
) -> None:
    from kivy.metrics import dp

    from mobile.director_desk import DirectorDesk
    from mobile.widgets.key import Key

    courts = _Courts(7)
    last = court_cards(courts.known, courts.now_ms, texts)[-1].id
    courts.known = [
        _asked(one, *PAIR) if one.id == last else one for one in courts.known
    ]
    language = Language.ENGLISH if texts is ENGLISH else Language.GERMAN
    desk = DirectorDesk(courts, Settings(language=language))
    window.show(desk.screen, size)
    assert desk.screen.model[0].id == last
    assert texts.director.asks(Seat.BOOK) in desk.screen.model[0].links
    box = desk.screen.courts.box_of(0)
    window.touch((box.x + 20, box.y + 20))
    page = _page(desk)
    assert page is not None
    assert [ask.words for ask in page.asks] == [
        texts.director.asks_by_name(seat, "07070707") for seat in PAIR
    ]
    keys = {w.label: w for w in desk.screen.walk() if isinstance(w, Key)}
    for seat in PAIR:
        key = keys[texts.director.let_in(seat)]
        assert key.width >= dp(48)
        window.touch(key.center)
    assert courts.let == [
        (last, Newcomer(DeviceId(bytes([7]) * 32), seat)) for seat in PAIR
    ]
    courts.known = [_asked(one) for one in courts.known]
    desk.refresh()
    page = _page(desk)
    assert page is not None
    assert page.asks == ()


def test_the_key_of_a_relay_that_is_not_heard_leads_back_to_where_that_is_said(
    window: TestWindow,
) -> None:
    from mobile.director_desk import DirectorDesk

    courts = _Courts(1)
    courts.known = [_asked(courts.known[0], Seat.BOOK)]
    desk = DirectorDesk(courts, Settings())
    window.show(desk.screen, TABLET)
    desk.screen.dispatch("on_touched", OpenCourt(courts.known[0].id))
    page = _page(desk)
    assert page is not None
    courts.silent = 7_000
    desk.screen.dispatch("on_touched", page.asks[0].intent)
    assert courts.let == []
    assert _page(desk) is None
    assert "Nothing heard" in desk.screen.head


def test_the_head_says_when_the_relay_is_not_heard(window: TestWindow) -> None:
    from mobile.director_desk import DirectorDesk

    courts = _Courts(3)
    desk = DirectorDesk(courts, Settings())
    window.show(desk.screen, TABLET)
    heads = []
    for silent_ms in (None, 900, 7_000):
        courts.silent = silent_ms
        desk.refresh()
        heads.append(desk.screen.head)
    desk.trouble = "the relay speaks version 2"
    desk.refresh()
    assert heads == [
        "Asking the relay at ws://10.0.0.5:8642 …",
        "3 courts, the one that needs help first",
        "Nothing heard of the relay for 7 s: this is how it was",
    ]
    assert desk.screen.head == "the relay speaks version 2"
