"""Strikes, corrections and the signature that closes a record."""

from __future__ import annotations

from tablesync.core.acts import (
    Act,
    Arrow,
    Basket,
    Correction,
    EntryId,
    Note,
    Seat,
    Side,
    Signer,
    SignOff,
    Strike,
)
from tablesync.core.seat_record import SeatRecord
from tablesync.core.vector_clock import DeviceId
from tests.scribe import Scribe

TWO = Basket(Side.HOME, "4", 2)
THREE = Basket(Side.HOME, "4", 3)
OURS, THEIRS = Arrow(Side.HOME), Arrow(Side.AWAY)
SIGNED = SignOff(Signer.REFEREE, "R. Fen")


class Desk:
    """A record and the scribe who writes it."""

    def __init__(self) -> None:
        self.scribe = Scribe(Seat.BOOK)
        self.record = SeatRecord()
        self.reached_back: list[bool] = []

    def enter(self, act: Act, at_ms: int | None = None) -> EntryId:
        entry = self.scribe.enter(act, at_ms)
        self.reached_back.append(self.record.take(entry))
        return entry.id

    def acts(self) -> list[Act]:
        return [line.act for line in self.record.standing()]


def test_a_struck_entry_has_no_effect_and_stays_on_record() -> None:
    desk = Desk()
    two = desk.enter(TWO)
    desk.enter(OURS)
    strike = desk.enter(Strike(two))
    assert desk.acts() == [OURS]
    assert [entry.id for entry in desk.record][:1] == [two]
    assert len(desk.record) == 3
    assert desk.record.struck == {two}
    assert desk.reached_back == [False, False, True]
    assert [line.entry.id for line in desk.record.corrections] == [strike]


def test_a_struck_strike_lets_the_entry_stand_again() -> None:
    desk = Desk()
    two = desk.enter(TWO)
    first = desk.enter(Strike(two))
    second = desk.enter(Strike(first))
    assert desk.acts() == [TWO]
    desk.enter(Strike(second))
    assert desk.acts() == []


def test_a_strike_of_nothing_earlier_is_ignored_and_listed() -> None:
    desk = Desk()
    stranger = EntryId(DeviceId(bytes(32)), 1)
    idle = desk.enter(Strike(stranger))
    later = EntryId(idle.device, 3)
    desk.enter(Strike(later))
    third = desk.enter(TWO)
    assert third == later
    assert desk.acts() == [TWO]
    assert [entry.act for entry in desk.record.idle_strikes] == [
        Strike(stranger),
        Strike(later),
    ]
    assert desk.reached_back == [False, False, False]


def test_an_amended_act_takes_its_targets_place_and_time() -> None:
    desk = Desk()
    two = desk.enter(TWO, 1_000)
    desk.enter(OURS, 2_000)
    right = desk.enter(Correction(two, THREE, None, "it was a three"), 9_000)
    assert desk.acts() == [THREE, OURS]
    line = next(iter(desk.record.standing()))
    assert (line.entry.id, line.at_ms) == (right, 1_000)


def test_an_amended_amendment_has_the_last_word_and_keeps_the_place() -> None:
    desk = Desk()
    two = desk.enter(TWO)
    desk.enter(OURS)
    first = desk.enter(Correction(two, THREE, None, "a three"))
    second = desk.enter(Correction(first, Basket(Side.AWAY, "0", 3), None, "theirs"))
    assert desk.acts() == [Basket(Side.AWAY, "0", 3), OURS]
    desk.enter(Strike(second))
    assert desk.acts() == [THREE, OURS]
    desk.enter(Strike(first))
    assert desk.acts() == [TWO, OURS]


def test_striking_an_amendment_undoes_what_amended_it_too() -> None:
    desk = Desk()
    two = desk.enter(TWO)
    first = desk.enter(Correction(two, THREE, None, "a three"))
    desk.enter(Correction(first, Basket(Side.AWAY, "0", 3), None, "theirs"))
    desk.enter(Correction(first, None, None, "all wrong"))
    assert desk.acts() == [TWO]


def test_of_two_corrections_of_one_entry_the_later_counts() -> None:
    desk = Desk()
    two = desk.enter(TWO)
    desk.enter(Correction(two, THREE, None, "a three"))
    desk.enter(Correction(two, Basket(Side.HOME, "5", 2), None, "by 5"))
    assert desk.acts() == [Basket(Side.HOME, "5", 2)]


def test_a_late_act_stands_where_its_time_puts_it() -> None:
    desk = Desk()
    desk.enter(OURS, 1_000)
    desk.enter(THEIRS, 5_000)
    desk.enter(Correction(None, TWO, 3_000, "left out"), 60_000)
    desk.enter(Correction(None, THREE, 3_000, "left out too"), 61_000)
    assert desk.acts() == [OURS, TWO, THREE, THEIRS]
    assert [line.at_ms for line in desk.record.standing()] == [
        1_000,
        3_000,
        3_000,
        5_000,
    ]
    assert [line.reason for line in desk.record.corrections] == [
        "left out",
        "left out too",
    ]


def test_nothing_counts_after_the_referees_signature_but_its_own_strike() -> None:
    desk = Desk()
    two = desk.enter(TWO)
    desk.enter(SignOff(Signer.SCORER, "S. Quarry"))
    signed = desk.enter(SIGNED)
    closed_by = desk.record.closed_by
    assert closed_by is not None
    assert closed_by.id == signed
    desk.enter(Strike(two))
    late = desk.enter(OURS)
    assert desk.acts() == [TWO, SignOff(Signer.SCORER, "S. Quarry"), SIGNED]
    assert [entry.id.number for entry in desk.record.too_late] == [4, 5]
    assert [line.in_force for line in desk.record.corrections] == [False]
    entry = list(desk.record)[-1]
    assert entry.id == late
    assert not desk.record.counts(entry)

    desk.enter(Strike(signed))
    assert desk.record.closed_by is None
    assert desk.acts() == [SignOff(Signer.SCORER, "S. Quarry"), OURS]


def test_a_note_is_no_reason_to_fold_anew() -> None:
    desk = Desk()
    desk.enter(Note("lights out for a minute"))
    assert desk.reached_back == [False]
    assert desk.record.closed_by is None
    assert desk.record.too_late == ()
