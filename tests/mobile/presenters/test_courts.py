from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from mobile.presenters.court_page import court_page
from mobile.presenters.courts import Court, court_cards
from mobile.presenters.strip import Agreement
from mobile.texts.english import ENGLISH
from mobile.texts.german import GERMAN
from tablesync.core.acts import Basket, OpenPeriod, Seat, Side, Signer, SignOff
from tablesync.core.court_state import CourtState
from tablesync.core.rulesets import RULE_SETS
from tablesync.core.summary import Linked, Meant
from tests.mobile import scenes
from tests.mobile.table import FakeTable
from tests.scribe import SHEET

if TYPE_CHECKING:
    from mobile.texts.shape import Texts

LONG_MS = 60_000
NOW_MS = 200_000


def _table(court: str) -> FakeTable:
    table = FakeTable(replace(SHEET, court=court))
    table.both(OpenPeriod(1), OpenPeriod(1))
    return table


def _mismatch(court: str, at_ms: int) -> FakeTable:
    table = _table(court)
    table.wait(at_ms)
    table.enter(Seat.BOOK, Basket(Side.HOME, "4", 2))
    table.wait(LONG_MS)
    return table


def _settling(court: str) -> FakeTable:
    table = _table(court)
    table.enter(Seat.BOOK, Basket(Side.HOME, "4", 2))
    return table


def _signed(court: str) -> FakeTable:
    table = _table(court)
    table.enter(Seat.BOOK, SignOff(Signer.REFEREE, "V. Lind"))
    return table


def _court(table: FakeTable, silent_ms: int = 0) -> Court:
    return scenes.court(table, NOW_MS, {Seat.BOOK: silent_ms})


def _fresh(court: str) -> FakeTable:
    return FakeTable(replace(SHEET, court=court))


def test_courts_stand_by_how_much_they_need_help_and_the_oldest_finding_first() -> None:
    courts = [
        _court(_table("agreed")),
        _court(_fresh("empty")),
        _court(_signed("signed")),
        _court(_settling("settling")),
        _court(_table("cut off"), silent_ms=5_000),
        _court(_mismatch("new", 30_000)),
        _court(_mismatch("old", 1_000)),
    ]
    cards = court_cards(courts, NOW_MS, ENGLISH)
    names = [card.court for card in cards]
    assert names == ["old", "new", "cut off", "settling", "agreed", "empty", "signed"]
    assert [card.state for card in cards][:5] == [
        CourtState.MISMATCH,
        CourtState.MISMATCH,
        CourtState.CUT_OFF,
        CourtState.SETTLING,
        CourtState.AGREED,
    ]


def test_a_card_shows_both_records_and_since_when_they_differ() -> None:
    table = _mismatch("3", 1_000)
    (card,) = court_cards([_court(table)], NOW_MS, ENGLISH)
    assert (card.teams[0].book, card.teams[0].board) == ("2", "0")
    age_s = (NOW_MS - table.game.open_findings()[0].raised_at_ms) // 1000
    assert card.words == f"1 open, the oldest {age_s // 60} min"
    assert card.agreement is Agreement.MISMATCH
    assert card.moment == "1st quarter  10:00"


def test_a_card_says_which_seat_is_not_heard_and_for_how_long() -> None:
    court = _court(_table("3"), silent_ms=7_000)
    assert _links(court) == "book seat silent 7 s"
    never = Linked(Seat.CLOCK, 0, 0)
    summary = replace(court.summary, scorer=Linked(Seat.BOOK, 0, 0), timer=never)
    assert _links(Court("x", summary)) == "no book seat yet, no clock seat yet"
    twice = replace(court.summary, scorer=Linked(Seat.BOOK, 2, 0))
    assert _links(Court("x", twice)) == "2 devices claim the book seat"


def _links(court: Court) -> str:
    (card,) = court_cards([court], NOW_MS, ENGLISH)
    return card.links


def test_a_court_before_its_game_and_one_after_it_are_quiet() -> None:
    (card,) = court_cards([_court(_fresh("x"))], NOW_MS, ENGLISH)
    assert (card.state, card.moment, card.words) == (
        CourtState.QUIET,
        "not begun",
        "quiet",
    )
    (card,) = court_cards([_court(_signed("3"))], NOW_MS, ENGLISH)
    assert (card.state, card.words) == (CourtState.QUIET, "signed")


@pytest.mark.parametrize("texts", [ENGLISH, GERMAN], ids=["en", "de"])
def test_periods_are_called_as_at_the_table(texts: Texts) -> None:
    for rules in RULE_SETS.values():
        for period in range(1, rules.periods + 3):
            called = texts.director.period(rules.periods, period)
            assert called == texts.say.period(rules, period)


def test_a_courts_page_has_both_tallies_and_every_finding_in_words() -> None:
    table = _mismatch("3", 1_000)
    page = court_page(_court(table), NOW_MS, ENGLISH)
    score = page.lines[0]
    assert (score.label, score.book, score.board) == ("score, Harbour Mills", "2", "0")
    assert score.agreement is Agreement.MISMATCH
    assert page.lines[1].agreement is Agreement.AGREED
    assert page.findings[0].startswith(table.game.open_findings()[0].text)
    assert page.title == "court 3: Harbour Mills v Tidegate"
    assert page.last.startswith("book seat, ")


def test_a_courts_page_is_german_where_that_is_chosen() -> None:
    court = _court(_mismatch("3", 1_000))
    page = court_page(court, NOW_MS, GERMAN)
    assert page.findings[0].startswith(
        "Im Buch steht „Harbour Mills 4: zwei Punkte“, an der Anzeige fehlt es."
    )
    assert page.last.startswith("Anschreiber, vor ")
    assert page.last.endswith(": Harbour Mills 4: zwei Punkte")


def test_an_older_relays_words_are_shown_as_they_come() -> None:
    court = _court(_mismatch("3", 1_000))
    older = replace(court, summary=replace(court.summary, meant=Meant()))
    page = court_page(older, NOW_MS, GERMAN)
    assert page.findings[0].startswith(court.summary.findings.oldest[0].text)
    assert page.last.endswith(court.summary.written.text)
