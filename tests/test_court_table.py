"""The director's table as it is read, and each court for a program."""

from __future__ import annotations

from dataclasses import replace
from io import StringIO
from typing import TYPE_CHECKING

from rich.console import Console

from tablesync.core.acts import Seat
from tablesync.core.summary import (
    Asked,
    Findings,
    Linked,
    Newcomer,
    OpenFinding,
    Played,
    Waiting,
)
from tablesync.core.vector_clock import DeviceId
from tablesync.court_table import court_table, court_values
from tests.core.test_court_state import AGREED, EMPTY, SIGNED, at, differing

if TYPE_CHECKING:
    from tablesync.core.summary import Summary

NOW_MS = 100_000


def printed(*courts: Summary, most_rows: int = 99) -> list[str]:
    out = StringIO()
    Console(width=200, file=out).print(court_table(courts, NOW_MS, most_rows))
    return out.getvalue().splitlines()


def row(court: Summary) -> str:
    (line,) = [
        one for one in printed(court) if " 1 " in one[:8] and "courts" not in one
    ]
    return line


def test_worst_court_is_the_first_row_and_all_are_counted() -> None:
    lines = printed(at("1"), at("2", differing(70_000)), at("3", SIGNED))
    assert "3 courts: 1 mismatch, 1 agreed, 1 quiet" in lines[0]
    rows = [line for line in lines if "fouls" in line]
    assert "mismatch" in rows[0]
    assert "30 s: text" in rows[0]
    assert "quiet" in rows[2]


def test_courts_beyond_the_room_are_counted_only() -> None:
    lines = printed(*(at(str(n)) for n in range(50)), most_rows=5)
    assert "50 courts" in lines[0]
    assert len([line for line in lines if "fouls" in line]) == 5


def test_running_clock_goes_on_between_the_news() -> None:
    running = replace(AGREED, played=Played(1, 130_000, running=True, at_ms=90_000))
    assert "1st 2:00 ▸" in row(running)
    assert "1st 1:00" in row(AGREED)
    assert "▸" not in row(AGREED)


def test_overtime_and_a_game_not_begun_have_their_words() -> None:
    overtime = replace(AGREED, book=replace(AGREED.book, period=5))
    assert "OT1" in row(overtime)
    none = replace(
        EMPTY,
        book=replace(EMPTY.book, period=0),
        board=replace(EMPTY.board, period=0),
    )
    assert "not begun" in row(none)


def test_more_findings_than_one_are_said_beside_the_oldest() -> None:
    oldest = (OpenFinding("a", "first", 95_000), OpenFinding("b", "second", 96_000))
    assert "5 s: first (and 4 more)" in row(
        replace(AGREED, findings=Findings(5, oldest))
    )


def test_device_that_asks_for_a_seat_is_named() -> None:
    device = DeviceId(bytes.fromhex("5eed" * 16))
    asked = replace(AGREED, asked=Asked((Newcomer(device, Seat.BOOK),)))
    assert "5eed5eed asks for book" in row(asked)
    assert court_values(b"g" * 32, asked, NOW_MS)["asking"] == [
        {"device": "5eed" * 16, "seat": "book"}
    ]


def test_what_is_awaited_and_who_is_silent_is_said_with_its_age() -> None:
    waiting = replace(
        AGREED,
        waiting=Waiting(2, 97_000),
        scorer=Linked(Seat.BOOK, 2, 0),
        timer=Linked(Seat.CLOCK, 0, 40_000),
    )
    line = row(waiting)
    assert "2 awaited, 3 s" in line
    assert "2 devices claim" in line
    never = replace(AGREED, timer=Linked(Seat.CLOCK, 0, 0))
    assert "clock never heard" in row(never)
    silent = replace(AGREED, timer=Linked(Seat.CLOCK, 0, 40_000))
    assert "clock silent for 60 s" in row(silent)


def test_text_from_outside_can_not_steer_the_terminal() -> None:
    evil = replace(AGREED, written=replace(AGREED.written, text="\x1b[2Jgone"))
    assert "\x1b[2J" not in "".join(printed(evil))


def test_values_hold_all_that_the_table_shows() -> None:
    court = replace(
        differing(70_000),
        played=Played(1, 60_000, running=True, at_ms=90_000),
        timer=Linked(Seat.CLOCK, 0, 40_000),
        waiting=Waiting(2, 97_000),
    )
    assert court_values(b"\x01" * 32, court, NOW_MS) == {
        "game": "01" * 32,
        "court": "1",
        "title": "A v B",
        "teams": {"home": "A", "away": "B"},
        "state": "mismatch",
        "book": {
            "score": {"home": 0, "away": 0},
            "team_fouls": {"home": 0, "away": 0},
            "time_outs": {"home": 0, "away": 0},
            "period": 1,
            "arrow": None,
        },
        "board": {
            "score": {"home": 0, "away": 0},
            "team_fouls": {"home": 0, "away": 0},
            "time_outs": {"home": 0, "away": 0},
            "period": 1,
            "arrow": None,
        },
        "clock": {"period": 1, "remaining_s": 50.0, "running": True},
        "open_findings": 1,
        "findings": [{"id": "f", "text": "text", "age_s": 30.0}],
        "awaited": {"count": 2, "age_s": 3.0},
        "links": {
            "book": {"devices": 1, "silent_s": None},
            "clock": {"devices": 0, "silent_s": 60.0},
        },
        "asking": [],
        "entries": 3,
        "last_entry": {"seat": "book", "text": "x", "age_s": 99.995},
        "signed": False,
    }
