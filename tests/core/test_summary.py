"""A court in few parts: what they say, and which of them an entry changes."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from tablesync.core.acts import Basket, Note, OpenPeriod, Seat, Side, TeamFoul
from tablesync.core.findings import Cause
from tablesync.core.game import Game
from tablesync.core.rulesets import rule_set
from tablesync.core.summary import (
    MOST_FINDINGS,
    Linked,
    Named,
    OpenFinding,
    PartPlace,
    Summary,
    Written,
    changes,
    learned,
    summary_of,
    with_part,
)
from tablesync.core.tally import PerSide
from tests.court_scene import CLEAN, MISSED
from tests.entering import entered
from tests.scribe import SHEET, Scribe

if TYPE_CHECKING:
    from tablesync.core.entries import Entry
    from tablesync.scenario import Scenario

LINKS = {seat: Linked(seat, 1, 0) for seat in (Seat.BOOK, Seat.CLOCK)}


def summed_up(scenario: Scenario, entries: list[Entry]) -> Summary:
    game = Game(scenario.sheet, scenario.rules, entered(scenario).game)
    for entry in entries:
        game.receive(entry)
    game.conclude()
    return summary_of(game, LINKS, entries[-1] if entries else None)


def test_summary_says_what_both_records_show() -> None:
    entries = list(entered(MISSED).entries)
    game = Game(MISSED.sheet, MISSED.rules, entered(MISSED).game)
    for entry in entries:
        game.receive(entry)
    summary = summary_of(game, LINKS, entries[-1])
    for seat, tallied in ((Seat.BOOK, summary.book), (Seat.CLOCK, summary.board)):
        assert tallied.seat is seat
        assert tallied.score == game.tally(seat).score
        assert tallied.time_outs == game.tally(seat).time_outs
        assert tallied.period == game.tally(seat).period
    assert summary.written.entries == len(entries)
    assert summary.named.teams == PerSide("Harbour Mills", "Kestrel Park")


def with_a_finding() -> Game:
    """The game as it stood when the missing basket was found."""
    game = Game(MISSED.sheet, MISSED.rules, entered(MISSED).game)
    for entry in entered(MISSED).entries:
        game.receive(entry)
        game.advance()
        if game.open_findings():
            break
    else:
        game.conclude()
    return game


def test_open_finding_is_told_with_when_it_was_raised() -> None:
    game = with_a_finding()
    (finding,) = game.open_findings()
    told = summary_of(game, LINKS, None).findings
    assert told.count == 1
    assert told.oldest == (OpenFinding(finding.id, finding.text, finding.raised_at_ms),)


def test_what_the_texts_mean_is_told_beside_them() -> None:
    last = entered(MISSED).entries[-1]
    meant = summary_of(with_a_finding(), LINKS, last).meant
    (about,) = meant.findings
    assert about.cause is Cause.ONLY_IN_BOOK
    assert isinstance(about.book, Basket)
    assert about.board is None
    assert meant.last == last.act


def test_of_an_act_that_is_mostly_text_only_the_text_is_told() -> None:
    note = Scribe(Seat.BOOK).enter(Note("the horn is broken"))
    game = Game(SHEET, rule_set(SHEET.rules), bytes(32))
    game.receive(note)
    summary = summary_of(game, LINKS, note)
    assert summary.meant.last is None
    assert summary.written.text == "note: the horn is broken"


def test_running_clock_is_told_once_and_counted_on_by_the_reader() -> None:
    game = Game(CLEAN.sheet, CLEAN.rules, entered(CLEAN).game)
    for entry in entered(CLEAN).entries:
        game.receive(entry)
        played = summary_of(game, LINKS, entry).played
        for later_ms in (0, 1, 999, 60_000):
            at_ms = played.at_ms + later_ms
            shown = game.board.clock.reading(at_ms)
            assert played.remaining_at(at_ms) == shown.remaining_ms


def test_only_changed_parts_are_told_and_make_the_same_summary_again() -> None:
    entries = list(entered(MISSED).entries)
    known = summed_up(MISSED, [])
    sizes = []
    for count in range(1, len(entries) + 1):
        now = summed_up(MISSED, entries[:count])
        parts = changes(known, now)
        sizes.append(len(parts))
        assert not any(isinstance(part, Named) for part in parts.values())
        for part in parts.values():
            known = with_part(known, part)
        assert known == now
    assert max(sizes) < len(known.parts())
    assert changes(known, known) == {}
    assert tuple(changes(None, known).values()) == known.parts()


def test_whoever_is_told_all_parts_knows_the_summary_and_without_the_name_nothing() -> (
    None
):
    summary = summed_up(MISSED, list(entered(MISSED).entries))
    known = None
    for part in summary.parts():
        known = learned(known, part)
    assert known == summary
    assert all(learned(None, part) is None for part in summary.parts()[1:])


def test_place_of_a_part_is_where_it_stands_among_all() -> None:
    summary = summed_up(MISSED, [])
    told = changes(None, summary)
    assert list(told) == list(PartPlace)
    assert told[PartPlace.NAMED] is summary.named
    assert told[PartPlace.BOARD] is summary.board
    assert told[PartPlace.TIMER] is summary.timer
    assert told[PartPlace.ASKED] is summary.asked
    assert told[PartPlace.MEANT] is summary.meant


def test_every_part_takes_its_own_place() -> None:
    summary = summed_up(MISSED, [])
    other = summed_up(CLEAN, list(entered(CLEAN).entries))
    for part in other.parts():
        taken = with_part(summary, part)
        assert part in taken.parts()
        assert len(changes(summary, taken)) <= 1


def test_more_findings_than_can_be_read_are_counted() -> None:
    game = Game(SHEET, rule_set(SHEET.rules), bytes(32))
    book, clock = Scribe(Seat.BOOK), Scribe(Seat.CLOCK)
    for seat in (book, clock):
        game.receive(seat.enter(OpenPeriod(1)))
    for number in range(2 * MOST_FINDINGS):
        game.receive(book.enter(Basket(Side.HOME, "4", 2), 60_000 * (number + 1)))
        game.receive(clock.enter(TeamFoul(Side.AWAY), 60_000 * (number + 1) + 30_000))
    game.conclude()
    told = summary_of(game, LINKS, None).findings
    assert told.count == len(game.open_findings()) > MOST_FINDINGS
    assert len(told.oldest) == MOST_FINDINGS
    left_out = {f.id: f for f in game.open_findings()}
    for one in told.oldest:
        del left_out[one.id]
    newest_told_ms = max(one.raised_at_ms for one in told.oldest)
    assert min(one.raised_at_ms for one in left_out.values()) >= newest_told_ms


def test_last_entry_is_told_in_words_and_who_wrote_it() -> None:
    entries = list(entered(CLEAN).entries)
    written = summed_up(CLEAN, entries).written
    last = entries[-1]
    assert (written.seat, written.at_ms) == (last.seat, last.table_time_ms)
    assert written.text
    assert summed_up(CLEAN, []).written == Written(0, None, 0, "", is_signed=False)


def test_seat_of_a_tally_decides_whose_it_is() -> None:
    summary = summed_up(CLEAN, [])
    tally = replace(summary.book, seat=Seat.CLOCK, score=PerSide(9, 0))
    assert with_part(summary, tally).board == tally
    assert with_part(summary, replace(tally, seat=Seat.BOOK)).book.score.home == 9
