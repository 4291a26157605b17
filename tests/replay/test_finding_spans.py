from __future__ import annotations

from tablesync.core.acts import (
    Answer,
    Answered,
    Basket,
    LetStand,
    Note,
    Points,
    Seat,
    Shown,
    Side,
)
from tablesync.core.findings import How
from tablesync.replay.finding_spans import Span, answers_to, showings_of, spans_of
from tablesync.replay.replay import FindingStep, Replay
from tests.telling import told

FOUR = (1_000, Seat.BOOK, Basket(Side.HOME, "4", 2))
LATER = (90_000, Seat.BOOK, Note("later"))


def only_span(replay: Replay) -> Span:
    [span] = spans_of(replay)
    return span


def test_a_finding_is_open_from_when_it_was_raised_to_its_end() -> None:
    still_open = only_span(told(FOUR, LATER))
    assert (still_open.to_ms, still_open.how) == (None, None)
    replay = told(FOUR, LATER, (95_000, Seat.CLOCK, Points(Side.HOME, 2)))
    over = only_span(replay)
    assert over.from_ms == still_open.from_ms == over.finding.raised_at_ms
    assert (over.to_ms, over.how) == (95_000, How.AGREED)
    assert sum(isinstance(step, FindingStep) for step in replay.steps) == 2


def test_who_was_shown_it_first_and_what_was_answered_is_told() -> None:
    id_ = only_span(told(FOUR, LATER)).finding.id
    stands = LetStand(id_, "the referee said so")
    replay = told(
        FOUR,
        (20_000, Seat.BOOK, Shown(id_, "once")),
        (21_000, Seat.BOOK, Shown(id_, "again")),
        (22_000, Seat.CLOCK, Shown(id_, "once")),
        (23_000, Seat.CLOCK, Shown("another", "else")),
        (24_000, Seat.BOOK, Answered(id_, Answer.HELD)),
        (25_000, Seat.BOOK, Answered("another", Answer.HELD)),
        (26_000, Seat.CLOCK, stands),
    )
    assert showings_of(replay, id_) == {Seat.BOOK: 20_000, Seat.CLOCK: 22_000}
    answers = [entry.act for entry in answers_to(replay, id_)]
    assert answers == [Answered(id_, Answer.HELD), stands]
    assert showings_of(replay, "none") == {}
