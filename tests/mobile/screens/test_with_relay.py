"""Both seats through their screens, with a real relay between them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from mobile.presenters.intents import Enter
from mobile.presenters.strip import Agreement
from tablesync.core.acts import (
    Basket,
    Charged,
    ClockStart,
    ClockStop,
    Foul,
    FreeThrow,
    Note,
    Points,
    Seat,
    Side,
    Substitution,
    TeamFoul,
)
from tablesync.core.tally import Item
from tests.mobile.finger import Finger
from tests.mobile.real_table import SEATS, RealTable, run_at_table

if TYPE_CHECKING:
    from pathlib import Path

    from kivy.uix.textinput import TextInput

    from tests.mobile.seat_on_screen import SeatOnScreen
    from tests.mobile.window import TestWindow

pytestmark = pytest.mark.screens

HOME, AWAY = Side.HOME, Side.AWAY


def test_a_quarter_with_a_slip_from_opening_to_signatures(
    window: TestWindow, tmp_path: Path
) -> None:
    async def play(table: RealTable) -> None:
        await table.open()
        for seat in (Seat.CLOCK, Seat.BOOK):
            await table.tap(seat, "open 1st quarter")
        await table.enter(Seat.CLOCK, ClockStart(), Points(HOME, 2))
        await table.enter(Seat.BOOK, Basket(HOME, "4", 2))
        assert table.cell(Seat.BOOK, Item.SCORE, HOME).state is Agreement.AGREED
        # The timer misses this one.
        await table.enter(Seat.BOOK, Basket(AWAY, "8", 3))
        assert table.cell(Seat.BOOK, Item.SCORE, AWAY).state is Agreement.SETTLING
        assert table.cell(Seat.CLOCK, Item.SCORE, AWAY).words.startswith(
            "yours to come"
        )
        await table.enter(Seat.CLOCK, ClockStop(), TeamFoul(HOME))
        personal = Foul(HOME, "11", Charged.PLAYER, "personal")
        await table.enter(Seat.BOOK, personal)
        await table.settle(60_000)
        for seat in SEATS:
            assert table.cell(seat, Item.SCORE, AWAY).state is Agreement.MISMATCH
            assert table.cards(seat)[0].startswith("Green, score: ")
        await table.tap(Seat.CLOCK, "add +3 Kestrel Park")
        for seat in SEATS:
            assert table.cell(seat, Item.SCORE, AWAY).state is Agreement.AGREED
            assert table.cards(seat) == []
        await table.enter(Seat.CLOCK, Points(AWAY, 1))
        await table.enter(Seat.BOOK, FreeThrow(AWAY, "3", made=True))
        await table.enter(Seat.BOOK, Substitution(AWAY, ("5",), ("8",)))
        for seat in (Seat.CLOCK, Seat.BOOK):
            await table.tap(seat, "end 1st quarter")
            assert (
                "Everything adds up" in table.seats[seat].stage.frame.model.leaf.verdict
            )
            await table.tap(seat, "close the 1st quarter")
        for seat in (Seat.BOOK, Seat.CLOCK):
            await table.tap(seat, "more")
            await table.tap(seat, "sign off")
        await table.tap(Seat.BOOK, "sign: I. Wetherby")
        await table.tap(Seat.CLOCK, "sign: R. Salter")
        await table.tap(Seat.BOOK, "more")
        await table.tap(Seat.BOOK, "sign off")
        await table.tap(Seat.BOOK, "sign: V. Lind")
        record = table.sessions[Seat.CLOCK].game.book.record
        assert record.closed_by is not None

    run_at_table(window, tmp_path, play)


async def _killed_and_back(table: RealTable) -> SeatOnScreen:
    await table.stand_up(Seat.BOOK)
    await table.sit_down(Seat.BOOK)
    return table.look_at(Seat.BOOK)


def test_a_device_that_is_killed_goes_on_where_it_was(
    window: TestWindow, tmp_path: Path
) -> None:
    async def play(table: RealTable) -> None:
        await table.open()
        await table.tap(Seat.BOOK, "open 1st quarter")
        await table.enter(Seat.BOOK, Basket(HOME, "4", 2), Basket(AWAY, "3", 3))
        before = table.seats[Seat.BOOK].stage.frame.model
        after = (await _killed_and_back(table)).stage.frame.model
        assert after.sheets == before.sheets
        assert after.entries == before.entries
        await table.enter(Seat.BOOK, Basket(HOME, "4", 2))
        assert table.sessions[Seat.CLOCK].game.book.tally.score.home == 4

    run_at_table(window, tmp_path, play)


def test_what_a_card_has_asked_is_still_asked_after_a_restart(
    window: TestWindow, tmp_path: Path
) -> None:
    async def play(table: RealTable) -> None:
        await table.open()
        for seat in (Seat.CLOCK, Seat.BOOK):
            await table.tap(seat, "open 1st quarter")
        await table.enter(Seat.CLOCK, ClockStart(), Points(HOME, 2))
        await table.settle(60_000)
        await table.tap(Seat.BOOK, "let it stand")
        await _killed_and_back(table)
        await table.tap(Seat.BOOK, "back")
        await table.tap(Seat.BOOK, "add +2 Harbour Mills: choose the player")
        book = await _killed_and_back(table)
        banner = book.stage.frame.model.banner
        assert "add +2 Harbour Mills: choose the player" in banner.words
        await book.tap(book.key(Enter((Basket(HOME, "7", 2),))))
        await table.settle()
        assert table.cards(Seat.BOOK) == []
        assert table.cell(Seat.BOOK, Item.SCORE, HOME).state is Agreement.AGREED

    run_at_table(window, tmp_path, play)


def test_half_a_note_is_there_after_turning_the_device_and_a_restart(
    window: TestWindow, tmp_path: Path
) -> None:
    async def play(table: RealTable) -> None:
        await table.open()
        await table.tap(Seat.BOOK, "more")
        await table.tap(Seat.BOOK, "note for the record")
        book = table.seats[Seat.BOOK]
        _field(book).insert_text("The scoreboard ")
        window.resize((360, 640))
        _field(book).insert_text("went dark")
        window.resize((1280, 800))
        book = await _killed_and_back(table)
        _field(book).insert_text(" at 3:07.")
        await table.settle()
        await table.tap(Seat.BOOK, "put on record")
        newest = list(table.sessions[Seat.CLOCK].game.history)[-1]
        assert newest.act == Note("The scoreboard went dark at 3:07.")

    run_at_table(window, tmp_path, play)


def _field(seat: SeatOnScreen) -> TextInput:
    from kivy.uix.textinput import TextInput

    return next(w for w in seat.stage.frame.walk() if isinstance(w, TextInput))


def test_a_lost_link_is_shown_and_entering_goes_on(
    window: TestWindow, tmp_path: Path
) -> None:
    async def play(table: RealTable) -> None:
        await table.open()
        for seat in (Seat.CLOCK, Seat.BOOK):
            await table.tap(seat, "open 1st quarter")
        await table.sessions[Seat.BOOK].disconnect()
        table.clock.advance_to(table.clock.now_ms() + 1_990)
        book = table.look_at(Seat.BOOK)
        await book.show()
        strip = book.stage.frame.model.strip
        assert {cell.state for cell in strip.cells} == {Agreement.UNHEARD}
        assert strip.partner.words == "link lost, heard 1 s ago"
        await Finger(book).enter(Basket(HOME, "4", 2))
        assert book.stage.frame.model.strip.partner.words.endswith("1 to send")
        assert table.sessions[Seat.CLOCK].game.book.tally.score.home == 0
        await table.sessions[Seat.BOOK].connect(table.address)
        await table.settle()
        assert table.sessions[Seat.CLOCK].game.book.tally.score.home == 2
        assert book.stage.frame.model.strip.partner.words == "in touch"

    run_at_table(window, tmp_path, play)
