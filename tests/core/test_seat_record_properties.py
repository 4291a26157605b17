from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from tablesync.core.acts import Act, Arrow, Basket, Correction, Seat, Side, Strike
from tablesync.core.seat_record import SeatRecord
from tests.scribe import Scribe

RIGHT = Basket(Side.AWAY, "0", 3)
acts = st.one_of(
    st.builds(Arrow, st.sampled_from(Side)),
    st.builds(Basket, st.sampled_from(Side), st.sampled_from(["4", "5"]), st.just(2)),
)
records = st.lists(acts, min_size=1, max_size=12)


def standing(record: SeatRecord) -> list[tuple[Act, int]]:
    return [(line.act, line.at_ms) for line in record.standing()]


def written(entered: list[Act]) -> tuple[Scribe, SeatRecord]:
    scribe, record = Scribe(Seat.BOOK), SeatRecord()
    for act in entered:
        record.take(scribe.enter(act))
    return scribe, record


@given(records, st.data())
def test_an_amendment_changes_one_act_and_nothing_else(
    entered: list[Act], data: st.DataObject
) -> None:
    scribe, record = written(entered)
    place = data.draw(st.integers(0, len(entered) - 1))
    before = standing(record)
    target = list(record)[place].id
    record.take(scribe.enter(Correction(target, RIGHT, None, "seen wrong")))
    after = standing(record)
    assert after[place] == (RIGHT, before[place][1])
    assert after[:place] + after[place + 1 :] == before[:place] + before[place + 1 :]


@given(records, st.integers(0, 15_000))
def test_a_late_act_leaves_the_others_in_their_order(
    entered: list[Act], at_ms: int
) -> None:
    scribe, record = written(entered)
    before = standing(record)
    record.take(scribe.enter(Correction(None, RIGHT, at_ms, "left out")))
    after = standing(record)
    after.remove((RIGHT, at_ms))
    assert after == before
    times = [time for _, time in standing(record)]
    assert times == sorted(times)


@given(records, st.data())
def test_striking_a_strike_or_a_correction_leaves_the_record_as_it_was(
    entered: list[Act], data: st.DataObject
) -> None:
    scribe, record = written(entered)
    before = standing(record)
    target = data.draw(st.sampled_from([entry.id for entry in record]))
    changes: list[Act] = [
        Strike(target),
        Correction(target, None, None, "no such act"),
        Correction(target, RIGHT, None, "another act"),
        Correction(None, RIGHT, 1_500, "left out"),
    ]
    change = data.draw(st.sampled_from(changes))
    changed = scribe.enter(change)
    record.take(changed)
    record.take(scribe.enter(Strike(changed.id)))
    assert standing(record) == before
    assert len(record) == len(entered) + 2


@given(records, st.lists(st.integers(0, 20), max_size=8))
def test_whatever_is_struck_nothing_leaves_the_record(
    entered: list[Act], targets: list[int]
) -> None:
    scribe, record = written(entered)
    for target in targets:
        ids = [entry.id for entry in record]
        record.take(scribe.enter(Strike(ids[target % len(ids)])))
    assert len(record) == len(entered) + len(targets)
    assert len(record.corrections) == len(targets)
    assert [act for act, _ in standing(record)] == [
        entry.act
        for entry in record
        if not isinstance(entry.act, Strike) and entry.id not in record.struck
    ]
