from __future__ import annotations

from tablesync.core.acts import OpenPeriod, Seat, Side, Signer, SignOff, Strike
from tablesync.core.book import Book
from tablesync.core.notices import NoticeKind, Notices
from tablesync.core.rulesets import rule_set
from tests.scribe import SHEET, BookDesk, Scribe, foul

FIBA = rule_set("fiba-2024")
HOME = Side.HOME


def test_a_notice_comes_at_the_entry_that_causes_it_and_once() -> None:
    desk = BookDesk(FIBA)
    assert desk.told(OpenPeriod(1), *[foul(HOME, "4")] * 4) == []
    fifth = desk.enter(foul(HOME, "4"))
    kinds = [(n.kind, n.side, n.number) for n in desk.notices]
    assert kinds == [
        (NoticeKind.DISQUALIFIED, HOME, "4"),
        (NoticeKind.BONUS, HOME, None),
    ]
    notice = desk.notices[0]
    assert (notice.entry, notice.at_ms) == (fifth.id, fifth.table_time_ms)
    assert notice.text == "White 4 is out: 5th foul."
    assert desk.told(foul(HOME, "5")) == []


def test_a_strike_takes_the_ground_away_and_the_next_foul_tells_again() -> None:
    desk = BookDesk(FIBA)
    desk.enter(OpenPeriod(1))
    last = desk.enter(*[foul(HOME, "4")] * 5)
    assert desk.told(Strike(last.id)) == []
    assert desk.told(foul(HOME, "4")) == [
        "White 4 is out: 5th foul.",
        "White: 5th team foul of the 1st quarter, blue shoots two.",
    ]


def test_a_strike_that_stands_again_tells_again() -> None:
    desk = BookDesk(FIBA)
    desk.enter(OpenPeriod(1))
    last = desk.enter(*[foul(HOME, "4")] * 5)
    strike = desk.enter(Strike(last.id))
    assert "White 4 is out: 5th foul." in desk.told(Strike(strike.id))


def test_every_holder_names_a_notice_alike() -> None:
    scribe = Scribe(Seat.BOOK)
    entries = [scribe.enter(OpenPeriod(1))]
    entries += [scribe.enter(foul(HOME, "4")) for _ in range(5)]
    ids: list[list[str]] = []
    for _ in range(2):
        book, notices = Book(SHEET, FIBA), Notices(SHEET, FIBA)
        ids.append([])
        for entry in entries:
            book.apply(entry)
            ids[-1] += [notice.id for notice in notices.after(entry, book, None)]
    assert ids[0] == ids[1]
    assert len(set(ids[0])) == 2
    assert all(len(id_) == 12 for id_ in ids[0])


def test_nothing_is_told_of_what_comes_after_the_referees_signature() -> None:
    desk = BookDesk(FIBA)
    desk.enter(OpenPeriod(1), SignOff(Signer.REFEREE, "R. Fen"))
    assert desk.told(foul(HOME, "99"), *[foul(HOME, "4")] * 5) == []
