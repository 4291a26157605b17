"""What belongs together on the two lanes of a chart."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tablesync.chart.pairing import FARTHEST_MS, Pairing, PairKind, pairing_of
from tablesync.core.acts import Basket, Correction, Points, Seat, Side, Strike
from tablesync.core.tally import mark_of
from tablesync.scenario import read_scenario
from tests.recording import replay_of
from tests.telling import told

if TYPE_CHECKING:
    from tablesync.replay.replay import Replay

SCENARIOS = {path.stem: path for path in Path("scenarios").glob("*.jsonl")}


def replayed(name: str) -> Replay:
    return replay_of(read_scenario(SCENARIOS[name]))


def marked(replay: Replay, seat: Seat) -> int:
    return sum(
        mark_of(entry.act, replay.rules) is not None
        for entry in replay.history
        if entry.seat is seat
    )


def times(replay: Replay, pairing: Pairing, kind: PairKind) -> list[tuple[int, int]]:
    return [
        (
            replay.history[pair.one].table_time_ms,
            replay.history[pair.other].table_time_ms,
        )
        for pair in pairing.pairs
        if pair.kind is kind
    ]


def test_in_a_clean_game_every_entry_has_its_like() -> None:
    replay = replayed("clean-quarter")
    pairing = pairing_of(replay)
    assert pairing.lacks == ()
    assert {pair.kind for pair in pairing.pairs} == {PairKind.ALIKE}
    assert len(pairing.pairs) == marked(replay, Seat.BOOK) == marked(replay, Seat.CLOCK)
    ones = [pair.one for pair in pairing.pairs]
    others = [pair.other for pair in pairing.pairs]
    assert len(set(ones)) == len(ones)
    assert len(set(others)) == len(others)
    for pair in pairing.pairs:
        one, other = replay.history[pair.one], replay.history[pair.other]
        assert (one.seat, other.seat) == (Seat.BOOK, Seat.CLOCK)
        assert mark_of(one.act, replay.rules) == mark_of(other.act, replay.rules)


def test_what_was_added_when_it_was_found_is_joined_late() -> None:
    replay = replayed("basket-missed-on-the-board")
    pairing = pairing_of(replay)
    [(book, board)] = times(replay, pairing, PairKind.LATE)
    assert board - book > 30_000
    [lack] = pairing.lacks
    assert lack.seat is Seat.CLOCK
    assert replay.history[lack.entry].table_time_ms == book


def test_an_act_entered_differently_is_joined_as_differing() -> None:
    replay = replayed("two-entered-as-three")
    pairing = pairing_of(replay)
    assert len(times(replay, pairing, PairKind.DIFFERING)) == 1


@pytest.mark.parametrize("name", sorted(SCENARIOS))
def test_no_entry_has_two_partners_on_one_lane(name: str) -> None:
    pairing = pairing_of(replayed(name))
    joined = [id_ for pair in pairing.pairs for id_ in (pair.one, pair.other)]
    assert len(set(joined)) == len(joined)


def test_like_entries_belong_together_in_order_but_not_across_a_minute() -> None:
    two, basket = Points(Side.HOME, 2), Basket(Side.HOME, "4", 2)
    replay = told(
        (1_000, Seat.BOOK, basket),
        (2_500, Seat.CLOCK, two),
        (9_400, Seat.BOOK, basket),
        (10_900, Seat.CLOCK, two),
    )
    alike = times(replay, pairing_of(replay), PairKind.ALIKE)
    assert alike == [(1_000, 2_500), (9_400, 10_900)]
    later = 10_000 + 2 * FARTHEST_MS
    far = told((1_000, Seat.BOOK, basket), (later, Seat.CLOCK, two))
    assert times(far, pairing_of(far), PairKind.ALIKE) == []


def test_a_correction_stands_where_what_it_corrects_stood() -> None:
    basket, two = Basket(Side.HOME, "4", 2), Points(Side.HOME, 2)
    replay = told(
        (1_000, Seat.BOOK, basket),
        (1_500, Seat.CLOCK, Points(Side.HOME, 3)),
        (1_650, Seat.CLOCK, lambda ids: Correction(ids[1], two, None, "was two")),
        (5_000, Seat.CLOCK, Points(Side.AWAY, 1)),
        (6_000, Seat.CLOCK, lambda ids: Strike(ids[3])),
    )
    [(book, board)] = times(replay, pairing_of(replay), PairKind.ALIKE)
    assert (book, board) == (1_000, 1_650)
