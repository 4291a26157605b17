"""Stepping and scrubbing through a recorded game, without a window."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from mobile.presenters.replay_page import Move, Scrubber, ScrubTo
from mobile.texts.english import ENGLISH
from mobile.texts.german import GERMAN
from tablesync.chart.drawing import Box, Ink
from tablesync.core.acts import Seat
from tablesync.replay.lines import Narrator
from tablesync.replay.moment_table import moment_rows
from tablesync.replay.replay import EntryStep, FindingStep
from tablesync.scenario import read_scenario
from tests.recording import replay_of

REPLAY = replay_of(read_scenario(Path("scenarios/basket-missed-on-the-board.jsonl")))
ALL = range(1, len(REPLAY.steps) + 1)
FOUND = [at for at in ALL if isinstance(REPLAY.steps[at - 1], FindingStep)]


def test_steps_go_one_by_one_and_stay_at_the_ends() -> None:
    scrubber = Scrubber(REPLAY, ALL)
    assert scrubber.position == 1
    scrubber.take(Move.BACK)
    assert scrubber.position == 1
    seen = []
    for _ in ALL:
        seen.append(scrubber.position)
        scrubber.take(Move.NEXT)
    assert seen == list(ALL)
    assert scrubber.position == ALL[-1]
    scrubber.take(Move.BACK)
    assert scrubber.position == ALL[-2]
    scrubber.take(Move.FIRST)
    assert scrubber.position == 1
    scrubber.take(Move.LAST)
    assert scrubber.position == ALL[-1]


def test_findings_are_gone_to_directly() -> None:
    scrubber = Scrubber(REPLAY, ALL)
    for at in FOUND:
        scrubber.take(Move.FINDING_NEXT)
        assert scrubber.position == at
    scrubber.take(Move.FINDING_NEXT)
    assert scrubber.position == FOUND[-1]
    scrubber.take(Move.FINDING_BACK)
    assert scrubber.position == FOUND[-2]


def test_only_selected_steps_are_stopped_at() -> None:
    chosen = [at for at in ALL if isinstance(REPLAY.steps[at - 1], EntryStep)][::3]
    scrubber = Scrubber(REPLAY, chosen)
    seen = [scrubber.position]
    for _ in chosen[1:]:
        scrubber.take(Move.NEXT)
        seen.append(scrubber.position)
    assert seen == chosen


@pytest.mark.parametrize("share", [-1.0, 0.0, 0.2, 0.5, 0.77, 1.0, 3.0])
def test_finger_on_the_axis_shows_how_all_stood_at_that_time(share: float) -> None:
    scrubber = Scrubber(REPLAY, ALL)
    scrubber.take(ScrubTo(share))
    page = scrubber.page(ENGLISH)
    assert page.share == pytest.approx(min(max(share, 0.0), 1.0), abs=1e-4)
    moment = REPLAY.moment_at(scrubber.at_ms)
    assert page.rows == moment_rows(REPLAY, Narrator(REPLAY), moment)
    assert page.findings == tuple(one.text for one in moment.findings)
    assert page.place == f"{moment.position}/{len(REPLAY.steps)}"


def test_page_marks_the_moment_in_the_middle_of_the_lanes() -> None:
    scrubber = Scrubber(REPLAY, ALL)
    for move in (Move.FINDING_NEXT, Move.CLOSER, Move.WIDER, Move.WIDER):
        scrubber.take(move)
        lanes = scrubber.page(ENGLISH).lanes
        (mark,) = [
            s for s in lanes.shapes if isinstance(s, Box) and s.fill is Ink.MOMENT
        ]
        assert mark.x + mark.width / 2 == pytest.approx((120 + 1250) / 2, abs=1)


def test_wider_lanes_hold_more_and_there_is_an_end_to_it() -> None:
    scrubber = Scrubber(REPLAY, ALL)
    scrubber.take(ScrubTo(0.5))
    sizes = []
    for _ in range(8):
        sizes.append(len(scrubber.page(ENGLISH).lanes.shapes))
        scrubber.take(Move.WIDER)
    assert sizes[0] < max(sizes)
    assert sizes[-1] == sizes[-2]
    widest = scrubber.page(ENGLISH).lanes
    for _ in range(8):
        scrubber.take(Move.CLOSER)
    closest = scrubber.page(ENGLISH).lanes
    scrubber.take(Move.CLOSER)
    assert scrubber.page(ENGLISH).lanes == closest != widest


def test_page_says_what_is_open_and_where_it_was_found() -> None:
    scrubber = Scrubber(REPLAY, ALL)
    assert scrubber.page(ENGLISH).findings == ()
    scrubber.take(Move.FINDING_NEXT)
    page = scrubber.page(ENGLISH)
    assert len(page.findings) == 1
    assert page.findings[0] in page.step
    assert page.found == (page.share,)
    score = REPLAY.moment(scrubber.position).tally(Seat.BOOK).score
    assert page.heading == f"Harbour Mills {score.home} : {score.away} Kestrel Park"
    assert page.columns == ("book", "board")


def test_game_of_which_nothing_is_selected_stays_at_its_beginning() -> None:
    empty = replay_of(read_scenario(Path("scenarios/clean-quarter.jsonl")))
    scrubber = Scrubber(empty, [])
    for move in Move:
        scrubber.take(move)
    assert scrubber.page(ENGLISH).step == ""


def test_what_is_the_screens_own_is_said_in_the_language_that_is_chosen() -> None:
    page = Scrubber(REPLAY, ALL).page(GERMAN)
    assert page.moment.endswith("s nach der ersten Eintragung")
    assert page.columns == tuple(GERMAN.strip.record(seat) for seat in REPLAY.seats)


ENGLISH_WORDS = re.compile(
    r"\b(the|book|board|clock|points?|foul|opens|found|over|before|entries|score)\b"
)


def test_every_step_and_row_is_told_in_the_language_that_is_chosen() -> None:
    scrubber = Scrubber(REPLAY, ALL)
    for _ in ALL:
        page = scrubber.page(GERMAN)
        told = [page.step, page.moment, *page.findings]
        told += [words for row in page.rows for words in (row.label, *row.cells)]
        # What an official was shown stays as it was shown.
        assert [
            words
            for words in told
            if ENGLISH_WORDS.search(words) and "angezeigt: " not in words
        ] == []
        scrubber.take(Move.NEXT)
    scrubber.take(Move.FIRST)
    scrubber.take(Move.FINDING_NEXT)
    page = scrubber.page(GERMAN)
    assert page.findings[0] in page.step
    assert "gefunden: Im Buch steht" in page.step
