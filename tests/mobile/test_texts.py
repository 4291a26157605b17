from __future__ import annotations

import errno
import inspect
import os
from dataclasses import fields, is_dataclass
from typing import TYPE_CHECKING

import pytest

from mobile.presenters.book_screen import book_screen
from mobile.presenters.clock_screen import clock_screen
from mobile.presenters.desk import Desk
from mobile.presenters.intents import ChooseKind, FoulPlace, Page, TurnTo
from mobile.texts.english import ENGLISH
from mobile.texts.german import GERMAN
from tablesync.core.acts import Charged, Seat, Side
from tablesync.core.rulesets import RULE_SETS
from tablesync.errors import (
    BadInputError,
    CorruptJournalError,
    MissingEntriesError,
    NotInvitedError,
    RefusedError,
    StorageError,
    UnconfirmedError,
    UnreachableError,
    WrongCertificateError,
    WrongCodeError,
    WrongSeatError,
)
from tests.mobile import scenes
from tests.mobile.table import FakeTable
from tests.strategies import acts

if TYPE_CHECKING:
    from collections.abc import Iterator

    from mobile.texts.shape import Texts
    from tablesync.core.acts import Act
    from tablesync.errors import TableSyncError

from hypothesis import given

BOTH = pytest.mark.parametrize("texts", [ENGLISH, GERMAN], ids=["en", "de"])


def _texts_of(texts: Texts) -> Iterator[tuple[str, object]]:
    """Every text, those of a replay too, which are fetched when there is one."""
    yield from _leaves(texts)
    yield from _leaves(texts.replay.wording(), ".wording")
    yield from _leaves(texts.replay.labels(), ".labels")


def _leaves(value: object, path: str = "") -> Iterator[tuple[str, object]]:
    if is_dataclass(value) and not isinstance(value, type):
        for field in fields(value):
            yield from _leaves(getattr(value, field.name), f"{path}.{field.name}")
    else:
        yield path, value


@BOTH
def test_no_text_is_empty(texts: Texts) -> None:
    for path, value in _texts_of(texts):
        assert value, path


def test_both_languages_have_texts_of_the_same_shape() -> None:
    german = dict(_texts_of(GERMAN))
    for path, value in _texts_of(ENGLISH):
        assert callable(value) is callable(german[path]), path
        other = german[path]
        if inspect.isfunction(value) and inspect.isfunction(other):
            count = len(inspect.signature(value).parameters)
            assert len(inspect.signature(other).parameters) == count, path


def test_hardly_any_german_text_is_the_english_one() -> None:
    german = dict(_texts_of(GERMAN))
    same = {p for p, v in _texts_of(ENGLISH) if isinstance(v, str) and v == german[p]}
    assert same == {
        ".strip.nobody",
        ".book.short",
        ".clock.start",
        ".clock.warning",
    }


@given(act=acts)
def test_every_act_can_be_said_in_both_languages(act: Act) -> None:
    game = FakeTable().game
    assert ENGLISH.say.act(act, game)
    assert GERMAN.say.act(act, game)


@given(act=acts)
def test_every_act_has_a_tag_on_the_lanes_in_both_languages(act: Act) -> None:
    game = FakeTable().game
    assert ENGLISH.replay.labels().tag(act, game)
    assert GERMAN.replay.labels().tag(act, game)


@BOTH
def test_every_kind_of_foul_of_every_code_has_words(texts: Texts) -> None:
    for rules in RULE_SETS.values():
        for rule in rules.fouls.kinds:
            assert texts.say.kind(rule)


@BOTH
@pytest.mark.parametrize("page", Page)
def test_every_page_can_be_said_in_both_languages(texts: Texts, page: Page) -> None:
    table = scenes.mismatch()
    desk = table.touch(Seat.BOOK, Desk(), TurnTo(page))
    book = book_screen(table.view(Seat.BOOK, texts=texts), desk)
    clock = clock_screen(table.view(Seat.CLOCK, texts=texts), desk)
    assert (book.leaf is None) is (clock.leaf is None) is (page is Page.PLAY)


def test_a_finding_reads_as_a_german_sentence() -> None:
    table = scenes.mismatch()
    view = table.view(Seat.CLOCK, texts=GERMAN)
    card = clock_screen(view, Desk()).cards[0]
    assert card.head == "Punkte Grün: Anzeige 11, Buch 13"
    assert card.text == "Im Buch steht „Grün 8: zwei Punkte“, an der Anzeige fehlt es."
    assert card.answers[0].label == "nachtragen: +2 Grün"


def test_kinds_of_foul_are_to_be_chosen_from_in_german() -> None:
    table = scenes.agreed()
    place = FoulPlace(Side.HOME, "4", Charged.PLAYER)
    desk = table.touch(Seat.BOOK, Desk(), ChooseKind(place))
    banner = book_screen(table.view(Seat.BOOK, texts=GERMAN), desk).banner
    assert banner is not None
    assert "technisches Foul" in [label for label, _ in banner.choices]


@pytest.mark.parametrize(
    ("error", "sentence"),
    [
        (RefusedError(WrongCodeError.code, "no"), "Der Code stimmt nicht."),
        (WrongCodeError("no"), "Der Code stimmt nicht."),
        (WrongCertificateError("h:1", "no"), "ein anderes Relais"),
        (UnreachableError("h:1", "no"), "kein Relais"),
        (RefusedError(NotInvitedError.code, "no"), "verbraucht"),
        (RefusedError(UnconfirmedError.code, "no"), "zulassen"),
        (RefusedError("crowd", "too many"), "Das Relais lehnt ab: too many"),
        (BadInputError("x.toml", "no title", "one"), "x.toml lässt sich nicht"),
    ],
    ids=lambda value: type(value).__name__,
)
def test_why_a_device_does_not_get_in_is_said_in_german(
    error: TableSyncError, sentence: str
) -> None:
    assert sentence in GERMAN.start.why(error)
    assert ENGLISH.start.why(error) == str(error)


@pytest.mark.parametrize(
    ("error", "sentence"),
    [
        (StorageError("a.journal", os.strerror(errno.ENOSPC)), "der Speicher ist voll"),
        (
            StorageError("a.journal", "database or disk is full"),
            "der Speicher ist voll",
        ),
        (StorageError("a.journal", "something rare"), "„something rare“"),
        (MissingEntriesError("ab:3", "lost"), "fehlen eigene Einträge"),
        (WrongSeatError("ab:3", "only watches"), "„only watches“"),
    ],
    ids=lambda value: str(value)[:30],
)
def test_why_something_is_not_on_record_is_said_in_german(
    error: TableSyncError, sentence: str
) -> None:
    words = GERMAN.trouble.words(error)
    assert sentence in words
    assert words.endswith("Auf Papier weiter.")
    assert str(error) in ENGLISH.trouble.words(error)


def test_a_damaged_journal_is_named_in_german() -> None:
    words = GERMAN.trouble.damaged(CorruptJournalError("a.journal", "3 entries"))
    assert "Nicht alles in a.journal lässt sich lesen: „3 entries“." in words
