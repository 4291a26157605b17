"""A report tells the facts in order, and judges nothing."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tablesync.core.acts import (
    Answer,
    Answered,
    Basket,
    ClosePeriod,
    LetStand,
    Note,
    OpenPeriod,
    Points,
    Protest,
    Seat,
    Shown,
    Side,
    Signer,
    SignOff,
)
from tablesync.dispute.dispute import Dispute, dispute_over_finding, dispute_over_span
from tablesync.dispute.facts import Weight
from tablesync.dispute.text import WIDTH, dispute_text, elapsed_words
from tablesync.errors import BadInputError
from tablesync.record.file import write_record
from tablesync.record.verification import OpenedRecord, open_record
from tablesync.replay.moments import moment_ms
from tablesync.replay.replay import FindingStep, Replay
from tablesync.scenario import read_scenario
from tests.recording import record_of, recorded
from tests.telling import told_entries

if TYPE_CHECKING:
    from tablesync.core.entries import Entry


def opened(data: bytes) -> tuple[OpenedRecord, Replay]:
    record = open_record(data)
    return record, Replay(record.sheet, record.rules, record.history)


def of_scenario(name: str) -> tuple[OpenedRecord, Replay]:
    scenario = read_scenario(Path(f"scenarios/dispute-{name}.jsonl"))
    return opened(write_record(recorded(scenario)))


def over_first_finding(record: OpenedRecord, replay: Replay) -> Dispute:
    id_ = next(s.finding.id for s in replay.steps if isinstance(s, FindingStep))
    return dispute_over_finding(record, replay, id_)


def test_a_missed_basket_found_late_is_told_from_the_basket_to_its_end() -> None:
    dispute = over_first_finding(*of_scenario("basket-found-late"))
    assert dispute.title.startswith("Score of Kestrel Park, 1st ")
    in_question = [f for f in dispute.facts if f.weight is Weight.IN_QUESTION]
    assert [fact.who for fact in in_question] == ["book", "found", "board", "over"]
    assert [fact.moment for fact in in_question][::2] == ["1st 8:05", "1st 6:27"]
    assert in_question[1].what.startswith(dispute.question)
    notes = [fact.what for fact in dispute.facts if fact.what.startswith("note: ")]
    assert len(notes) == 2
    before, found, after = dispute.standings
    assert not any(row.differs for row in before.rows)
    assert [row.label for row in found.rows if row.differs] == ["score"]
    assert not any(row.differs for row in after.rows)
    assert "No entry says that a device showed it to its official." in dispute.told
    assert dispute.told[-1] == "It was over at 1st 6:27: the records agree again."


def test_a_seat_cut_off_is_told_of_by_what_it_did_not_have() -> None:
    dispute = over_first_finding(*of_scenario("seat-cut-off-for-a-quarter"))
    told = "\n".join(dispute.told)
    assert "The book's device is not shown to have had the other record" in told
    assert "The board's device had the other record up to then by its entry" in told
    assert "the board entered 15 times without having what the other had" in told
    basket = next(f for f in dispute.facts if f.weight is Weight.IN_QUESTION)
    assert basket.what == "white 9: three points"
    [reached] = basket.reached
    assert reached.startswith("board: known to #59, 499.0 s later, not to 9 before")
    assert [line.split(": ")[1] for line in dispute.signed] == [
        "1st quarter closes, at 9:6",
        "1st quarter closes, at 9:6",
        "2nd quarter closes, at 14:15",
        "2nd quarter closes, at 17:15",
    ]


def test_a_foul_charged_anew_is_told_over_a_span() -> None:
    record, replay = of_scenario("foul-to-the-wrong-player")
    ends = (moment_ms(text, replay, "") for text in ("#34", "#45"))
    dispute = dispute_over_span(record, replay, *ends)
    assert dispute.told == (
        "The check of the records found no difference.",
        "At 1st 7:49 the book strikes out an entry [#38 white 7: personal foul], "
        "42 s after it was entered.",
        "At 1st 7:49 the book then entered #41 white 9: personal foul.",
    )
    in_question = [f.number for f in dispute.facts if f.weight is Weight.IN_QUESTION]
    assert in_question == [38, 40, 41]
    before, after = (
        {row.label: row.cells for row in one.rows} for one in dispute.standings
    )
    assert (before["fouls, white 7"][0], before["fouls, white 9"][0]) == ("4", "0")
    assert (after["fouls, white 7"][0], after["fouls, white 9"][0]) == ("4", "1")
    what = [fact.what for fact in dispute.facts]
    assert "white 7: personal foul (struck out later)" in what
    assert "strikes out an entry [#38 white 7: personal foul]" in what
    assert "white 9: personal foul" in what
    assert any(w.startswith("White 7 is out: 5th foul.") for w in what)
    assert [standing.heading for standing in dispute.standings] == [
        "before, 1st 8:13",
        "after, 1st 7:49",
    ]


BEGUN = (
    (500, Seat.CLOCK, OpenPeriod(1)),
    (600, Seat.BOOK, OpenPeriod(1)),
    (1_000, Seat.BOOK, Basket(Side.HOME, "4", 2)),
)


def first_finding(entries: list[Entry]) -> str:
    _, replay = opened(write_record(record_of(entries)))
    return next(s.finding.id for s in replay.steps if isinstance(s, FindingStep))


def test_who_was_shown_it_what_was_answered_and_who_signed_is_told() -> None:
    id_ = first_finding(told_entries(*BEGUN, (90_000, Seat.BOOK, Note("later"))))
    entries = told_entries(
        *BEGUN,
        (20_000, Seat.BOOK, Shown(id_, "the board lacks two")),
        (21_000, Seat.CLOCK, Shown(id_, "add two")),
        (25_000, Seat.BOOK, Answered(id_, Answer.HELD)),
        (30_000, Seat.CLOCK, Answered(id_, Answer.PUT_RIGHT)),
        (30_500, Seat.CLOCK, LetStand(id_, "agreed")),
        (31_000, Seat.CLOCK, Points(Side.HOME, 2)),
        (60_000, Seat.BOOK, ClosePeriod(1)),
        (61_000, Seat.BOOK, Protest(Side.AWAY, "the late points")),
        (62_000, Seat.BOOK, SignOff(Signer.SCORER, "I. Wetherby")),
    )
    dispute = dispute_over_finding(*opened(write_record(record_of(entries))), id_)
    assert dispute.told[3:] == (
        'At 1st 10:00 the book\'s device showed its official: "the board lacks two"',
        'At 1st 10:00 the board\'s device showed its official: "add two"',
        "At 1st 10:00 the book's official held it for the referees.",
        "At 1st 10:00 the board's official said that it was put right.",
        "At 1st 10:00 the board's official let it stand: agreed.",
        "It was over at 1st 10:00: the records agree again.",
    )
    assert dispute.signed == (
        "1st 10:00 book: 1st quarter closes, at 2:0",
        "1st 10:00 book: protest by blue: the late points",
        "1st 10:00 book: signed by the scorer: I. Wetherby",
    )


def test_a_finding_still_open_at_the_end_is_said_to_be() -> None:
    entries = told_entries(*BEGUN, (90_000, Seat.BOOK, Note("later")))
    id_ = first_finding(entries)
    dispute = dispute_over_finding(*opened(write_record(record_of(entries))), id_)
    assert "It was open at the end of the record." in dispute.told


def test_a_finding_that_never_was_is_refused() -> None:
    record, replay = of_scenario("basket-found-late")
    with pytest.raises(BadInputError, match="there was no finding 'x'"):
        dispute_over_finding(record, replay, "x")
    quiet = opened(write_record(record_of(told_entries((1, Seat.BOOK, Note("x"))))))
    with pytest.raises(BadInputError, match="expected none to be asked"):
        dispute_over_finding(*quiet, "x")


def test_a_span_without_an_entry_has_no_facts() -> None:
    record, replay = of_scenario("basket-found-late")
    dispute = dispute_over_span(record, replay, 0, 1)
    assert dispute.facts == ()
    assert "The facts in order\n------------------\nnone\n" in dispute_text(dispute)


@pytest.mark.parametrize(
    "name",
    ["basket-found-late", "foul-to-the-wrong-player", "seat-cut-off-for-a-quarter"],
)
def test_the_text_has_every_section_and_fits_its_width(name: str) -> None:
    record, replay = of_scenario(name)
    last = replay.steps[-1].at_ms
    text = dispute_text(dispute_over_span(record, replay, 0, last))
    assert all(len(line) <= WIDTH for line in text.splitlines())
    for heading in (
        "What the record says of it",
        "The facts in order",
        "The records before",
        "The records after",
        "Close-outs, signatures and protests",
        "What the file shows",
        "What it does not show",
    ):
        assert f"\n{heading}" in text
    assert f"Record: fingerprint {record.fingerprint}" in text
    assert text.endswith("\nThe referees' and the league's rulings prevail.\n")


def test_no_word_of_a_report_says_who_was_right() -> None:
    for name in ("basket-found-late", "seat-cut-off-for-a-quarter"):
        text = dispute_text(over_first_finding(*of_scenario(name))).lower()
        for word in ("fault of", "mistake", "wrong", "guilty", "should have", "blame"):
            assert word not in text


def test_time_since_the_first_entry_is_minutes_and_seconds() -> None:
    assert [elapsed_words(s) for s in (0.0, 59.96, 137.2, 3_600)] == [
        "+0:00",
        "+0:59",
        "+2:17",
        "+60:00",
    ]
