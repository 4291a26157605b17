"""A replay can be asked for what concerns a team, a player, an item, a finding."""

from __future__ import annotations

from pathlib import Path

import pytest

from tablesync.core.acts import (
    Answer,
    Answered,
    Basket,
    Charged,
    ClosePeriod,
    Correction,
    Foul,
    LetStand,
    Note,
    OpenPeriod,
    Points,
    Seat,
    Shown,
    Side,
    Strike,
    Substitution,
    TimeOut,
    TimeOutLength,
)
from tablesync.core.scene import NoticeKind
from tablesync.core.tally import Item
from tablesync.errors import BadInputError
from tablesync.replay.filter import (
    Filter,
    concerned_entries,
    require_finding,
    selected,
)
from tablesync.replay.replay import EntryStep, FindingStep, NoticeStep, Replay
from tablesync.scenario import read_scenario
from tests.recording import replay_of
from tests.telling import told

MISSED = replay_of(read_scenario(Path("scenarios/basket-missed-on-the-board.jsonl")))
HOME, AWAY = Side.HOME, Side.AWAY
FOUR, TWELVE = Basket(HOME, "4", 2), Basket(AWAY, "12", 3)


def acts(replay: Replay, wanted: Filter) -> list[object]:
    steps = (replay.steps[position - 1] for position in selected(replay, wanted))
    return [step.entry.act for step in steps if isinstance(step, EntryStep)]


def finding_id(replay: Replay) -> str:
    return next(s.finding.id for s in replay.steps if isinstance(s, FindingStep))


def test_without_a_wish_every_step_is_selected() -> None:
    assert selected(MISSED, Filter()) == tuple(range(1, len(MISSED.steps) + 1))


def test_a_team_has_its_acts_and_what_reaches_back_to_them() -> None:
    strike = (4_000, Seat.BOOK, lambda ids: Strike(ids[0]))
    replay = told(
        (1_000, Seat.BOOK, FOUR),
        (2_000, Seat.BOOK, TWELVE),
        (3_000, Seat.BOOK, Note("nobody's")),
        strike,
    )
    home = acts(replay, Filter(side=HOME))
    assert home[0] == FOUR
    assert isinstance(home[1], Strike)
    assert acts(replay, Filter(side=AWAY)) == [TWELVE]


def test_a_player_is_found_in_every_kind_of_act() -> None:
    onto = Substitution(HOME, ("4",), ("5",))
    replay = told(
        (1_000, Seat.BOOK, FOUR),
        (2_000, Seat.BOOK, TWELVE),
        (3_000, Seat.BOOK, onto),
        (4_000, Seat.BOOK, Basket(AWAY, "4", 3)),
        (5_000, Seat.BOOK, lambda ids: Correction(ids[1], FOUR, None, "wrong one")),
    )
    found = acts(replay, Filter(number="4"))
    assert found[:3] == [FOUR, onto, Basket(AWAY, "4", 3)]
    assert isinstance(found[3], Correction)
    assert acts(replay, Filter(side=HOME, number="5")) == [onto]


def test_an_item_has_the_acts_that_count_to_it() -> None:
    out = TimeOut(HOME, TimeOutLength.FULL)
    replay = told(
        (1_000, Seat.BOOK, FOUR), (2_000, Seat.CLOCK, out), (3_000, Seat.BOOK, out)
    )
    assert acts(replay, Filter(item=Item.TIME_OUTS)) == [out, out]
    assert acts(replay, Filter(item=Item.SCORE)) == [FOUR]
    assert acts(replay, Filter(item=Item.ARROW)) == []


def test_a_finding_has_its_entries_and_what_ended_it() -> None:
    id_ = finding_id(MISSED)
    positions = selected(MISSED, Filter(finding=id_))
    steps = [MISSED.steps[position - 1] for position in positions]
    kinds = [type(step) for step in steps]
    assert kinds == [EntryStep, FindingStep, EntryStep, FindingStep]
    ids = {step.entry.id for step in steps if isinstance(step, EntryStep)}
    assert concerned_entries(MISSED, id_) == ids
    assert concerned_entries(MISSED, "none") == frozenset()


def test_what_an_official_was_shown_and_answered_belongs_to_the_finding() -> None:
    first = told((1_000, Seat.BOOK, FOUR), (90_000, Seat.BOOK, Note("later")))
    id_ = finding_id(first)
    replay = told(
        (1_000, Seat.BOOK, FOUR),
        (90_000, Seat.BOOK, Shown(id_, "lacks two")),
        (91_000, Seat.BOOK, Answered(id_, Answer.HELD)),
        (92_000, Seat.BOOK, Answered("another", Answer.HELD)),
        (93_000, Seat.BOOK, LetStand(id_, "agreed with the referee")),
    )
    expected = [FOUR, Shown(id_, "lacks two"), Answered(id_, Answer.HELD)]
    expected.append(LetStand(id_, "agreed with the referee"))
    assert acts(replay, Filter(finding=id_)) == expected
    assert acts(replay, Filter(side=HOME)) == expected
    assert acts(replay, Filter(side=AWAY)) == []
    assert acts(replay, Filter(item=Item.SCORE)) == expected


def test_a_period_has_what_happened_while_the_clock_was_in_it() -> None:
    replay = told(
        (1_000, Seat.CLOCK, OpenPeriod(1)),
        (1_100, Seat.BOOK, OpenPeriod(1)),
        (2_000, Seat.BOOK, FOUR),
        (3_000, Seat.CLOCK, ClosePeriod(1)),
        (4_000, Seat.BOOK, OpenPeriod(2)),
        (5_000, Seat.CLOCK, OpenPeriod(2)),
        (6_000, Seat.CLOCK, Points(HOME, 2)),
    )
    second = [OpenPeriod(2), OpenPeriod(2), Points(HOME, 2)]
    assert acts(replay, Filter(period=2)) == second
    assert FOUR in acts(replay, Filter(period=1))


def test_a_span_of_time_includes_both_its_ends() -> None:
    times = [MISSED.steps[at - 1].at_ms for at in selected(MISSED, Filter())]
    begin, end = times[4], times[9]
    inside = selected(MISSED, Filter(from_ms=begin, to_ms=end))
    assert [MISSED.steps[at - 1].at_ms for at in inside] == times[4:10]


def test_notices_are_selected_by_team_player_and_id() -> None:
    foul = Foul(HOME, "4", Charged.PLAYER, "personal")
    fouls = told(*((1_000 * n, Seat.BOOK, foul) for n in range(1, 6)))
    notices = [step.notice for step in fouls.steps if isinstance(step, NoticeStep)]
    out = next(n for n in notices if n.kind is NoticeKind.DISQUALIFIED)
    wanted = Filter(side=out.side, number=out.number, finding=out.id)
    [position] = selected(fouls, wanted)
    step = fouls.steps[position - 1]
    assert isinstance(step, NoticeStep)
    assert step.notice == out
    require_finding(fouls, out.id)


def test_a_finding_that_never_was_is_refused_with_those_that_were() -> None:
    require_finding(MISSED, finding_id(MISSED))
    with pytest.raises(BadInputError) as caught:
        require_finding(MISSED, "0123")
    assert caught.value.expected == finding_id(MISSED)
    quiet = told((1_000, Seat.BOOK, Note("x")))
    with pytest.raises(BadInputError, match="expected none to be asked"):
        require_finding(quiet, "0123")
