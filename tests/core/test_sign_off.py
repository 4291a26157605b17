from __future__ import annotations

from tablesync.core.acts import Protest, Seat, Side, Signer, SignOff, Strike
from tablesync.core.seat_record import SeatRecord
from tablesync.core.sign_off import sign_off_state
from tests.scribe import Scribe


def test_the_table_officials_sign_and_the_referee_closes_the_record() -> None:
    """FIBA Annex B, summing up (2022): the referee signs last."""
    book, clock = SeatRecord(), SeatRecord()
    scorer, timer = Scribe(Seat.BOOK), Scribe(Seat.CLOCK)
    records = {Seat.BOOK: book, Seat.CLOCK: clock}
    assert sign_off_state(records).missing == tuple(Signer)

    book.take(scorer.enter(SignOff(Signer.SCORER, "S. Quarry"), 1_000))
    clock.take(timer.enter(SignOff(Signer.TIMER, "T. Lane"), 3_000))
    book.take(scorer.enter(Protest(Side.AWAY, "the last goal was late"), 2_000))
    state = sign_off_state(records)
    assert state.missing == (Signer.REFEREE,)
    assert not state.is_closed
    assert [(s.role, s.name, s.seat) for s in state.signatures] == [
        (Signer.SCORER, "S. Quarry", Seat.BOOK),
        (Signer.TIMER, "T. Lane", Seat.CLOCK),
    ]
    assert [(p.side, p.reason) for p in state.protests] == [
        (Side.AWAY, "the last goal was late")
    ]

    signed = scorer.enter(SignOff(Signer.REFEREE, "R. Fen"), 4_000)
    book.take(signed)
    state = sign_off_state(records)
    assert state.is_closed
    assert state.missing == ()

    book.take(scorer.enter(Strike(signed.id), 5_000))
    assert not sign_off_state(records).is_closed


def test_without_a_clock_seat_no_timer_signs() -> None:
    assert sign_off_state({Seat.BOOK: SeatRecord()}).missing == (
        Signer.SCORER,
        Signer.REFEREE,
    )
