"""A forger who makes the file anew, with right seals, is found out all the same."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tablesync.checkpoint import countersign
from tablesync.core.acts import Note, OpenPeriod, Seat
from tablesync.core.merkle import MerkleTree
from tablesync.core.vector_clock import VectorClock
from tablesync.errors import RecordFileError
from tablesync.record.fault import FaultKind
from tablesync.record.file import write_record
from tablesync.record.record import Admitted, Countersigned, Record
from tablesync.record.verification import examine, open_record
from tablesync.scenario import read_scenario
from tablesync.seal import DeviceKey, Pen, unseal
from tests.entering import KEYS, entered
from tests.recording import RELAY, countersigned, recorded, sealed, signed_head

if TYPE_CHECKING:
    from tablesync.sync.messages import Sealed

MISSED = read_scenario(Path("scenarios/basket-missed-on-the-board.jsonl"))
CANCEL = read_scenario(Path("scenarios/slips-that-cancel.jsonl"))
MADE = entered(MISSED)
ALL = len(MADE.entries)
BARE = recorded(MISSED, MADE)
WHOLE = recorded(MISSED, MADE, sizes=(10, 20, ALL))


def faults(record: Record) -> list[str]:
    examined = examine(write_record(record))
    is_file_sound = all(f.kind is FaultKind.OF_DEVICE for f in examined.faults)
    assert (examined.opened is not None) == is_file_sound
    assert examined.is_sound == (not examined.faults)
    return [str(fault) for fault in examined.faults]


def with_entries(record: Record, entries: list[Sealed]) -> Record:
    return replace(record, entries=tuple(entries))


def name(place: int) -> str:
    return f"entry {place} ({MADE.entries[place - 1].id})"


@pytest.mark.parametrize("record", [BARE, WHOLE, recorded(CANCEL, sizes=(3,))])
def test_a_sound_record_has_no_fault(record: Record) -> None:
    assert faults(record) == []


def test_a_sound_record_is_opened_with_all_that_it_holds() -> None:
    data = write_record(WHOLE)
    sound = open_record(data)
    assert sound.record == WHOLE
    assert sound.sheet == MISSED.sheet
    assert sound.game == MADE.game
    assert sound.rules == MISSED.rules
    assert sound.entries == MADE.entries
    assert set(sound.history) == set(MADE.entries)
    assert sound.fingerprint == data[-32:].hex()


def test_every_entry_that_is_left_out_is_missed() -> None:
    for place in range(1, ALL + 1):
        entries = list(WHOLE.entries)
        del entries[place - 1]
        found = faults(with_entries(WHOLE, entries))
        left_out = str(MADE.entries[place - 1].id)
        is_last_of_device = place >= ALL - 1
        assert is_last_of_device or f"knew of entry {left_out}" in found[0]
        assert found[-1] == (
            f"after entry {ALL - 1} ({unseal(*entries[-1]).id}): "
            f"1 of the {ALL} entries signed for lack"
        )


def test_without_a_checkpoint_only_the_end_of_a_stream_is_not_missed() -> None:
    not_missed = []
    for place in range(1, ALL + 1):
        entries = list(BARE.entries)
        del entries[place - 1]
        if not faults(with_entries(BARE, entries)):
            not_missed.append(place)
    last_of_clock = max(
        n for n, e in enumerate(MADE.entries, start=1) if e.seat is Seat.CLOCK
    )
    assert set(not_missed) <= {last_of_clock, ALL}


def test_every_doubled_entry_is_found_and_named() -> None:
    for place in range(1, ALL + 1):
        entries = list(WHOLE.entries)
        entries.insert(place, entries[place - 1])
        found = faults(with_entries(WHOLE, entries))
        again = f"entry {place + 1} ({MADE.entries[place - 1].id})"
        assert found[0] == f"{again}: is entry {place} once more"


def test_every_two_entries_that_change_places_are_found() -> None:
    for one, other in combinations(range(0, ALL, 2), 2):
        entries = list(WHOLE.entries)
        entries[one], entries[other] = entries[other], entries[one]
        found = faults(with_entries(WHOLE, entries))
        out_of_place = f"entry {one + 1} ({MADE.entries[other].id}): knew of entry"
        below = max(s for s in (0, 10, 20) if s <= one)
        by_checkpoint = f"entries {below + 1} to "
        assert found[0].startswith((out_of_place, by_checkpoint, f"entry {one + 2}"))


def test_one_missing_entry_is_told_of_once_and_not_for_all_that_follow() -> None:
    entries = list(BARE.entries)
    gone = MADE.entries[2]
    del entries[2]
    found = faults(with_entries(BARE, entries))
    assert 1 <= len(found) <= 2
    assert all(f"knew of entry {gone.id}, which does not" in one for one in found)


def test_a_device_that_wrote_two_entries_under_one_number_is_found() -> None:
    pen = Pen(KEYS[Seat.BOOK], Seat.BOOK, MADE.game)
    fork = pen.write(Note("not what stands there"), VectorClock(), 0)
    found = faults(with_entries(BARE, [*BARE.entries, *sealed([fork])]))
    place = 1 + next(n for n, e in enumerate(MADE.entries) if e.id == fork.id)
    assert found == [
        f"entry {ALL + 1} ({fork.id}): "
        f"its device wrote entry {place} under the same number"
    ]


def test_a_record_of_a_device_that_forked_can_be_opened_with_both_branches() -> None:
    pen = Pen(KEYS[Seat.BOOK], Seat.BOOK, MADE.game)
    fork = pen.write(Note("not what stands there"), VectorClock(), 0)
    opened = open_record(
        write_record(with_entries(BARE, [*BARE.entries, *sealed([fork])]))
    )
    assert [fault.kind for fault in opened.faults] == [FaultKind.OF_DEVICE]
    assert len(opened.history) == ALL + 1
    [both] = opened.history.forks()
    assert both.id == fork.id


def test_an_entry_signed_wrongly_by_its_own_device_is_held_against_the_device() -> None:
    """Else a device could make sure that nobody can open the record."""
    pen = Pen(KEYS[Seat.BOOK], Seat.BOOK, MADE.game)
    first = pen.write(Note("one"), VectorClock(), 0)
    wrong = unseal(first.payload, bytes(64))
    pen.resume(wrong)
    after = pen.write(Note("two"), VectorClock(), 1)
    written = with_entries(BARE, list(sealed([wrong, after])))
    (admitted,) = (a for a in BARE.admitted if a.seat is Seat.BOOK)
    opened = open_record(write_record(replace(written, admitted=(admitted,))))
    assert opened.entries == (wrong, after)
    assert [(str(fault), fault.kind) for fault in opened.faults] == [
        (
            f"entry 1 ({wrong.id}): its device signed it wrongly, and stands by it "
            "with its next entry",
            FaultKind.OF_DEVICE,
        )
    ]
    alone = with_entries(BARE, list(sealed([wrong])))
    assert faults(alone)[0] == f"entry 1 ({wrong.id}): its signature is not valid"


def test_the_branch_of_a_fork_that_nobody_followed_does_not_stand_in() -> None:
    """The key's owner signs another entry; what followed the first shows it."""
    first = next(n for n, e in enumerate(MADE.entries) if e.seat is Seat.BOOK)
    pen = Pen(KEYS[Seat.BOOK], Seat.BOOK, MADE.game)
    original = MADE.entries[first]
    other = pen.write(OpenPeriod(2), original.seen, original.table_time_ms)
    entries = list(BARE.entries)
    entries[first] = sealed([other])[0]
    found = faults(with_entries(BARE, entries))
    assert f"knew of entry {other.id}, which does not stand before it" in found[0]


def test_an_entry_of_a_device_that_is_not_admitted_is_found() -> None:
    stranger = Pen(DeviceKey(b"s" * 32), Seat.BOOK, MADE.game)
    entry = stranger.write(Note("let me in"), VectorClock(), 0)
    found = faults(with_entries(BARE, [*BARE.entries, *sealed([entry])]))
    assert found == [
        f"entry {ALL + 1} ({entry.id}): its device is not admitted to the book seat"
    ]


def test_a_device_is_admitted_to_its_own_seat_only() -> None:
    swapped = (
        Admitted(KEYS[Seat.BOOK].device, Seat.CLOCK),
        Admitted(KEYS[Seat.CLOCK].device, Seat.BOOK),
    )
    found = faults(replace(BARE, admitted=swapped))
    assert len(found) == ALL
    assert found[0].startswith(name(1))


def test_entries_of_another_game_are_found() -> None:
    found = faults(replace(BARE, sheet=recorded(CANCEL).sheet))
    assert found[0] == f"{name(1)}: is not an entry of this game"


def test_a_sheet_that_can_not_be_read_is_found() -> None:
    found = faults(replace(BARE, sheet=b"\x90"))
    assert found == ["the game sheet: its bytes can't be read"]


def test_a_list_with_a_device_twice_is_found() -> None:
    doubled = (*BARE.admitted, BARE.admitted[0])
    assert faults(replace(BARE, admitted=doubled)) == [
        "the list of devices: is not in order, or has a device twice"
    ]


def test_a_checkpoint_by_nobody_or_over_something_else_is_found() -> None:
    tree = MerkleTree(entry.digest for entry in MADE.entries)
    good = signed_head(tree.head_at(20), 1, MADE.game)
    forged = replace(good, signature=bytes(64))
    elsewhere = signed_head(tree.head_at(20), 1, bytes(32))
    unlike = signed_head(MerkleTree([b"other"] * 20).head(), 1, MADE.game)
    for checkpoint, sentence in (
        (forged, "checkpoint over 20 entries: its signature is not valid"),
        (elsewhere, "checkpoint over 20 entries: is of another game"),
        (
            unlike,
            "entries 1 to 20: are not those, in that order, for which a checkpoint "
            "was signed",
        ),
    ):
        checkpoints = (Countersigned(checkpoint, ()),)
        assert faults(replace(BARE, checkpoints=checkpoints)) == [sentence]


def test_two_checkpoints_that_tell_two_histories_can_not_both_pass() -> None:
    digests = [entry.digest for entry in MADE.entries]
    other = [*digests[:18], digests[19], digests[18]]
    heads = (MerkleTree(digests[:20]).head(), MerkleTree(other).head())
    both = tuple(Countersigned(signed_head(head, 1, MADE.game), ()) for head in heads)
    assert faults(replace(BARE, checkpoints=both)) == [
        "checkpoint over 20 entries: contradicts another over as many"
    ]


def test_a_countersignature_that_is_wrong_twice_there_or_a_strangers_is_found() -> None:
    tree = MerkleTree(entry.digest for entry in MADE.entries)
    checkpoint = signed_head(tree.head(), 1, MADE.game)
    other = signed_head(tree.head(), 2, MADE.game)
    book = countersigned(checkpoint, Seat.BOOK)
    clock = countersigned(checkpoint, Seat.CLOCK)
    strange = countersign(RELAY, checkpoint, book.statement)
    foul = countersign(KEYS[Seat.BOOK], checkpoint, b"\x90")
    for counters, what in (
        ((countersigned(other, Seat.BOOK),), "is not valid"),
        ((replace(book, statement=other.payload),), "is not valid"),
        ((replace(clock, device=book.device),), "is not valid"),
        ((foul,), "a statement is not right"),
        ((book, book), "countersigned twice"),
        ((strange,), "not admitted"),
    ):
        checkpoints = (Countersigned(checkpoint, counters),)
        [found] = faults(replace(BARE, checkpoints=checkpoints))
        assert found.startswith(f"checkpoint over {ALL} entries: ")
        assert what in found


def test_a_record_with_a_fault_is_not_opened() -> None:
    data = write_record(with_entries(BARE, list(BARE.entries[1:])))
    with pytest.raises(RecordFileError, match="a record without a fault"):
        open_record(data)
    with pytest.raises(RecordFileError, match="is not all there"):
        open_record(data[:-1])
