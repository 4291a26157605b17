"""How a device was admitted can be told from the record, and is held against it."""

from __future__ import annotations

from dataclasses import replace

from tablesync.admission.grants import DirectorsWord, Grant, Way, sign_grant
from tablesync.admission.invitation import EVERY_GAME
from tablesync.core.acts import Note, Seat
from tablesync.record.assurance import not_shown, shown
from tablesync.record.fault import FaultKind
from tablesync.record.file import write_record
from tablesync.record.record import Admission, Admitted, Record
from tablesync.record.verification import examine
from tablesync.seal import DeviceKey
from tablesync.sync.courts.confirmation import confirm
from tablesync.sync.messages import Asking
from tests.gated import BOOK, CLOCK, GATE, SECOND_BOOK, Gated, gated_game

DIRECTOR = DeviceKey(b"d" * 32)
GAME = gated_game()
RECORD = GAME.record()


def faults(record: Record) -> list[str]:
    return [str(fault) for fault in examine(write_record(record)).faults]


def words(record: Record) -> tuple[str, str]:
    opened = examine(write_record(record)).opened
    assert opened is not None
    return "\n".join(shown(opened)), "\n".join(not_shown(opened))


def short(key: DeviceKey) -> str:
    return key.device.hex()[:8]


def test_every_device_is_granted_its_seat_by_the_relay_that_signed() -> None:
    assert faults(RECORD) == []
    assert {(one.device, one.seat) for one in RECORD.admitted} == {
        (BOOK.device, Seat.BOOK),
        (SECOND_BOOK.device, Seat.BOOK),
        (CLOCK.device, Seat.CLOCK),
    }
    for one in RECORD.admitted:
        assert (one.how, one.relay) == (Admission.GRANTED, GATE.device)


def test_it_is_said_how_each_came_in_and_by_whose_signature() -> None:
    known, unknown = words(RECORD)
    gate = f"Relay {short(GATE)} signed that it let device"
    assert (
        f"{gate} {short(BOOK)} in to the book seat: it had an invitation's secret. The "
        f"device put that on record as entry {GAME.entries[0].id}."
    ) in known
    assert (
        f"{gate} {short(CLOCK)} in to the clock seat: somebody typed its short code."
    ) in known
    assert (
        f"{gate} {short(SECOND_BOOK)} in to the book seat: it had an invitation's "
        f"secret, in the place of device {short(BOOK)}, and device {short(CLOCK)} "
        "confirmed it."
    ) in known
    assert "who held it is not shown" not in unknown


def test_programs_and_clocks_are_told_by_the_signatures_of_those_who_said_so() -> None:
    known, unknown = words(RECORD)
    assert f"Relay {short(GATE)} signed that it ran tablesync 0." in known
    for key, seat, exchanges in (
        (BOOK, Seat.BOOK, "1 exchange"),
        (SECOND_BOOK, Seat.BOOK, "1 exchange"),
        (CLOCK, Seat.CLOCK, "2 exchanges"),
    ):
        name = f"Device {short(key)} ({seat})"
        assert f"{name} signed that it ran tablesync 0." in known
        assert (
            f"{name} signed how its clock compared with the relay's in "
            f"{exchanges}; the best leaves 3 ms of doubt."
        ) in known
    assert "That tablesync 0 wrote the file: nobody signed that." in unknown


def test_a_list_that_says_less_or_more_than_the_entries_is_found() -> None:
    first = RECORD.admitted[0]
    rest = RECORD.admitted[1:]
    name = f"the admission of device {first.device.hex()[:8]} to the {first.seat} seat"
    for wrong in (
        Admitted(first.device, first.seat),
        replace(first, relay=BOOK.device),
        replace(first, how=Admission.RELAY_LIST),
        replace(first, relay=None),
    ):
        assert faults(replace(RECORD, admitted=(wrong, *rest))) == [
            f"{name}: is not as the entries show: they say granted"
        ]
    silent = DeviceKey(b"z" * 32)
    listed = (*RECORD.admitted, Admitted(silent.device, Seat.CLOCK))
    in_order = tuple(sorted(listed, key=lambda one: (one.device, one.seat)))
    assert faults(replace(RECORD, admitted=in_order)) == [
        f"the admission of device {short(silent)} to the clock seat: "
        "it has entered nothing there"
    ]


def test_a_grant_of_a_relay_that_signed_nothing_here_shows_nothing() -> None:
    assert "is not as the entries show: they say relay_list" in "\n".join(
        faults(replace(RECORD, checkpoints=()))
    )


def test_a_grant_that_is_of_another_device_is_held_against_who_entered_it() -> None:
    game = Gated()
    grant = Grant(game.game, CLOCK.device, Seat.BOOK, Way.INVITATION, 0)
    stolen = game.enter(BOOK, Seat.BOOK, game.take_seat(grant))
    game.check_up(BOOK)
    examined = examine(write_record(game.record()))
    assert examined.opened is not None
    assert [(str(one), one.kind) for one in examined.faults] == [
        (
            f"entry {stolen.id}: puts a grant on record that is of another device, "
            "seat or game",
            FaultKind.OF_DEVICE,
        )
    ]
    (admitted,) = game.record().admitted
    assert admitted.how is Admission.RELAY_LIST


def test_a_confirmation_of_which_there_is_no_entry_is_found() -> None:
    game = Gated()
    game.enter(CLOCK, Seat.CLOCK, Note("here"))
    grant = Grant(
        game.game,
        BOOK.device,
        Seat.BOOK,
        Way.INVITATION,
        0,
        replaces=SECOND_BOOK.device,
        confirmed_by=CLOCK.device,
    )
    taken = game.enter(BOOK, Seat.BOOK, game.take_seat(grant))
    game.check_up(BOOK)
    assert faults(game.record()) == [
        f"entry {taken.id}: no entry of device {short(CLOCK)} confirms it"
    ]


def confirmed_by_a_director(word: DirectorsWord) -> tuple[Gated, str]:
    """A game whose book is replaced by a director's word, and the entry of that."""
    game = Gated()
    grant = Grant(
        game.game,
        BOOK.device,
        Seat.BOOK,
        Way.SHORT_CODE,
        0,
        replaces=SECOND_BOOK.device,
        confirmed_by=DIRECTOR.device,
        word=word,
    )
    taken = game.enter(BOOK, Seat.BOOK, game.take_seat(grant))
    game.check_up(BOOK)
    return game, str(taken.id)


def right_word() -> DirectorsWord:
    own = Grant(EVERY_GAME, DIRECTOR.device, None, Way.SHORT_CODE, 2**53)
    asking = Asking(BOOK.device, Seat.BOOK)
    said = confirm(DIRECTOR, Gated().game, asking)
    return DirectorsWord(said.signature, sign_grant(GATE, own))


def test_a_directors_word_is_on_record_and_told() -> None:
    game, _ = confirmed_by_a_director(right_word())
    assert faults(game.record()) == []
    known, _ = words(game.record())
    assert f"and the director's device {short(DIRECTOR)} confirmed it." in known


def test_a_word_that_no_director_of_the_relay_gave_is_found() -> None:
    right = right_word()
    game = Gated().game
    asking = Asking(BOOK.device, Seat.BOOK)

    def granted(
        by: DeviceKey, key: DeviceKey, at: bytes, seat: Seat | None
    ) -> DirectorsWord:
        own = Grant(at, key.device, seat, Way.INVITATION, 0)
        return replace(right, granted=sign_grant(by, own))

    for wrong in (
        replace(right, signature=confirm(CLOCK, game, asking).signature),
        replace(right, signature=confirm(DIRECTOR, EVERY_GAME, asking).signature),
        replace(right, signature=b""),
        granted(DIRECTOR, DIRECTOR, EVERY_GAME, None),
        granted(GATE, CLOCK, EVERY_GAME, None),
        granted(GATE, DIRECTOR, game, None),
        granted(GATE, DIRECTOR, EVERY_GAME, Seat.CLOCK),
        replace(right, granted=replace(right.granted, payload=b"no grant")),
    ):
        forged, taken = confirmed_by_a_director(wrong)
        assert faults(forged.record()) == [
            f"entry {taken}: holds the word of no director of its relay"
        ]
