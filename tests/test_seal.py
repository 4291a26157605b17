from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import msgpack
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tablesync.core.act_forms import seats_of
from tablesync.core.acts import (
    Basket,
    Correction,
    LetStand,
    Note,
    Points,
    Seat,
    Side,
    Substitution,
)
from tablesync.core.entries import digest_of
from tablesync.core.vector_clock import DeviceId, VectorClock
from tablesync.errors import (
    BadSignatureError,
    EntryError,
    MalformedEntryError,
    WrongSeatError,
)
from tablesync.seal import MOST_BYTES, DeviceKey, Pen, has_signed, unseal, verify
from tests.strategies import (
    DEVICES,
    GAME,
    KEYS,
    Written,
    acts,
    clocks,
    forked_histories,
    played,
)

if TYPE_CHECKING:
    from tablesync.core.acts import Act
    from tablesync.core.entries import Entry

KEY = DeviceKey(b"k" * 32)
OTHER = DeviceId(b"o" * 32)
SIGNATURE = bytes(64)
THREE = Basket(Side.HOME, "4", 3)


def pen(seat: Seat = Seat.BOOK) -> Pen:
    return Pen(KEY, seat, GAME)


def entry_of(act: Act = THREE, time_ms: int = 1_000) -> Entry:
    return pen().write(act, VectorClock({OTHER: 2}), time_ms)


def fields(**changes: object) -> list[object]:
    """The fields of a good payload, but for the changes."""
    good = {
        "version": 1,
        "device": KEY.device,
        "number": 1,
        "seat": "book",
        "table_time": 1_000,
        "seen": [[OTHER, 2]],
        "link": GAME,
        "act": ["basket", "home", "4", 3],
    }
    assert changes.keys() <= good.keys()
    return list((good | changes).values())


def refusal(payload: bytes, signature: bytes = SIGNATURE) -> str:
    with pytest.raises(MalformedEntryError) as refused:
        unseal(payload, signature)
    return str(refused.value)


def test_an_entry_has_exactly_these_bytes() -> None:
    # Written by hand after the msgpack specification: version 1 of an entry must stay
    # readable for ever, so this never changes.
    payload = (
        b"\x98"
        + b"\x01"
        + (b"\xc4\x20" + KEY.device)
        + b"\x01"
        + b"\xa4book"
        + b"\xcd\x03\xe8"
        + (b"\x91\x92" + b"\xc4\x20" + OTHER + b"\x02")
        + (b"\xc4\x20" + GAME)
        + b"\x94\xa6basket\xa4home\xa14\x03"
    )
    entry = entry_of()
    assert entry.payload == payload
    assert entry == unseal(payload, entry.signature)
    assert payload == msgpack.packb(fields())


def test_the_signature_covers_a_domain_and_the_payload() -> None:
    entry = entry_of()
    assert has_signed(
        KEY.device, b"tablesync entry\x00", entry.payload, entry.signature
    )
    assert not has_signed(KEY.device, b"", entry.payload, entry.signature)
    assert entry.digest == digest_of(entry.payload, entry.signature)


@given(acts, clocks, st.integers(0, 2**53))
def test_what_is_written_is_read_back_and_verified(
    act: Act, seen: VectorClock, time_ms: int
) -> None:
    seat = min(seats_of(act))
    written = pen(seat).write(act, seen, time_ms)
    read = unseal(written.payload, written.signature)
    verify(read)
    assert read == written
    assert (read.act, read.seen, read.seat) == (act, seen, seat)
    assert (read.table_time_ms, read.link) == (time_ms, GAME)
    assert read.digest == digest_of(written.payload, written.signature)


@settings(max_examples=20)
@given(forked_histories(played))
def test_whole_histories_survive_their_bytes(written: Written) -> None:
    for entry in written.entries:
        read = unseal(entry.payload, entry.signature)
        verify(read)
        assert read == entry


def test_a_pen_writes_an_unbroken_chain() -> None:
    one = pen()
    entries = [one.write(Note(str(n)), VectorClock(), n) for n in range(3)]
    assert [entry.id.number for entry in entries] == [1, 2, 3]
    links = [entry.link for entry in entries]
    assert links == [GAME, entries[0].digest, entries[1].digest]


def test_a_pen_resumes_after_the_last_entry() -> None:
    first = pen().write(Note("before the battery died"), VectorClock(), 0)
    again = pen()
    again.resume(first)
    second = again.write(Note("after"), VectorClock(), 1)
    assert (second.id.number, second.link) == (2, first.digest)


def test_a_pen_leaves_its_own_device_out_of_what_was_seen() -> None:
    seen = VectorClock({KEY.device: 9, OTHER: 2})
    assert pen().write(THREE, seen, 0).seen == VectorClock({OTHER: 2})


@pytest.mark.parametrize(
    ("act", "time_ms"),
    [
        (THREE, -1),
        (THREE, 2**53 + 1),
        (THREE, 2**70),
        (Basket(Side.HOME, "4", 7), 0),
        (Basket(Side.HOME, "four", 2), 0),
        (Note(""), 0),
        (Note("half a character: \ud83c"), 0),
        (Note("n" * 2_001), 0),
    ],
)
def test_a_pen_puts_nothing_on_record_that_others_would_refuse(
    act: Act, time_ms: int
) -> None:
    one = pen()
    with pytest.raises(MalformedEntryError):
        one.write(act, VectorClock(), time_ms)
    assert one.write(THREE, VectorClock(), 0).id.number == 1


def test_a_pen_refuses_the_other_seats_acts() -> None:
    with pytest.raises(WrongSeatError) as refused:
        pen(Seat.CLOCK).write(THREE, VectorClock(), 0)
    name = KEY.device.hex()[:8]
    assert str(refused.value) == f"entry {name}:1: basket is no act of the clock seat"


def test_the_longest_acts_fit() -> None:
    longest = "\N{BASKETBALL AND HOOP}" * 2_000
    numbers = tuple(str(number) for number in range(1_000))
    entry = pen().write(LetStand("f" * 64, longest), VectorClock(), 0)
    pen().write(Substitution(Side.HOME, numbers, ()), VectorClock(), 0)
    pen().write(
        Correction(entry.id, Substitution(Side.HOME, numbers, ()), None, longest),
        VectorClock(),
        0,
    )
    pen().write(
        Correction(entry.id, Note(longest), None, longest),
        VectorClock(dict.fromkeys(DEVICES, 2**31)),
        2**53,
    )


def test_a_payload_of_too_many_bytes_is_refused_unread() -> None:
    assert refusal(b"\xc1" * (MOST_BYTES + 1)) == (
        f"entry ?: it is too long; expected at most {MOST_BYTES} bytes"
    )


@pytest.mark.parametrize(
    ("payload", "what"),
    [
        (b"", "it is no msgpack"),
        (b"\xc1", "it is no msgpack"),
        (msgpack.packb(fields())[:-1], "it is no msgpack"),
        (msgpack.packb(fields()) + b"\x00", "it is no msgpack"),
        (b"\xdd\xff\xff\xff\xff", "it is no msgpack"),
        (b"\xa1\xff", "it is no msgpack"),
        (b"\x91" * 10_000 + b"\x01", "it is no msgpack"),
        (b"\x91" * 1_000 + b"\x01", "it is no array of 8"),
        (b"\x98\x01" + 7 * (b"\x91" * 100 + b"\x01"), "its device is not right"),
        (msgpack.packb({}), "it is no array of 8"),
        (msgpack.packb(fields(number=msgpack.Timestamp(1))), "its number is no number"),
        (msgpack.packb(1), "it is no array of 8"),
        (msgpack.packb([]), "it is no array of 8"),
        (msgpack.packb([*fields(), 1]), "it is no array of 8"),
    ],
    ids=lambda part: ascii(part)[:30],
)
def test_bytes_that_are_no_entry_are_refused(payload: bytes, what: str) -> None:
    assert refusal(payload).startswith(f"entry ?: {what}")


NAME = KEY.device.hex()[:8] + ":1"
SEEN = "what it knew is not right; expected"
NO_ACT = "its act is no array; expected an act's name and fields"
NESTED = msgpack.unpackb(b"\x91" * 400 + b"\x01")


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"act": 1.5}, f"entry {NAME}: {NO_ACT}"),
        ({"act": NESTED}, f"entry {NAME}: {NO_ACT}"),
        (
            {"act": ["note", NESTED]},
            f"entry {NAME}: text of note is [[[[[[[...]]]]]]]; "
            "expected text of 1 to 2000 characters",
        ),
        (
            {"act": ["strike", [b"d", NESTED]]},
            f"entry {NAME}: target of strike is [b'd', [[[[[[...]]]]]]]; "
            "expected a device and a number",
        ),
        (
            {"act": ["arrow", msgpack.ExtType(5, b"x" * 1_000)]},
            f"entry {NAME}: side of arrow is ExtType(code=...xxxxxxxxxxxx'); "
            'expected "home" or "away"',
        ),
        ({"version": 2}, "entry ?: its version is not known; expected version 1"),
        ({"version": True}, "entry ?: its version is not known; expected version 1"),
        ({"version": "1"}, "entry ?: its version is not known; expected version 1"),
        ({"device": b"d" * 31}, "entry ?: its device is not right; expected 32 bytes"),
        ({"device": "d" * 32}, "entry ?: its device is not right; expected 32 bytes"),
        ({"device": None}, "entry ?: its device is not right; expected 32 bytes"),
        ({"number": 0}, f"entry ?: its number is 0; expected from 1 to {2**31}"),
        (
            {"number": 2**31 + 1},
            f"entry ?: its number is {2**31 + 1}; expected from 1 to {2**31}",
        ),
        (
            {"number": True},
            "entry ?: its number is no number; expected a whole number from 1",
        ),
        (
            {"number": "1"},
            "entry ?: its number is no number; expected a whole number from 1",
        ),
        (
            {"seat": "director"},
            f"entry {NAME}: its seat is not known; expected book, clock, visiting",
        ),
        (
            {"seat": None},
            f"entry {NAME}: its seat is not known; expected book, clock, visiting",
        ),
        (
            {"seat": ["book"]},
            f"entry {NAME}: its seat is not known; expected book, clock, visiting",
        ),
        (
            {"table_time": -1},
            f"entry {NAME}: its table time is -1; expected from 0 to {2**53}",
        ),
        (
            {"table_time": 2**53 + 1},
            f"entry {NAME}: its table time is {2**53 + 1}; expected from 0 to {2**53}",
        ),
        (
            {"table_time": None},
            f"entry {NAME}: its table time is no number; "
            "expected a whole number from 0",
        ),
        (
            {"seen": None},
            f"entry {NAME}: what it knew is no array; "
            "expected pairs of device and number",
        ),
        ({"seen": [1]}, f"entry {NAME}: {SEEN} pairs of device and number"),
        ({"seen": [[OTHER]]}, f"entry {NAME}: {SEEN} pairs of device and number"),
        (
            {"seen": [["o" * 32, 1]]},
            f"entry {NAME}: its known device is not right; expected 32 bytes",
        ),
        (
            {"seen": [[OTHER, 0]]},
            f"entry {NAME}: its known number is 0; expected from 1 to {2**31}",
        ),
        (
            {"seen": [[OTHER, 1], [OTHER, 2]]},
            f"entry {NAME}: {SEEN} other devices, each once, in order",
        ),
        (
            {"seen": [[OTHER, 1], [b"a" * 32, 2]]},
            f"entry {NAME}: {SEEN} other devices, each once, in order",
        ),
        (
            {"seen": [[KEY.device, 1]]},
            f"entry {NAME}: {SEEN} other devices, each once, in order",
        ),
        (
            {"link": b"l" * 33},
            f"entry {NAME}: its link is not right; expected 32 bytes",
        ),
        (
            {"act": "basket"},
            f"entry {NAME}: its act is no array; expected an act's name and fields",
        ),
        (
            {"act": ["dunk"]},
            f"entry {NAME}: its act 'dunk' is not known; expected an act's name",
        ),
        (
            {"act": ["basket", "home", "4"]},
            f"entry {NAME}: its act basket has 2 fields; expected 3",
        ),
        (
            {"act": ["basket", "home", "4", 4]},
            f"entry {NAME}: points of basket is 4; expected 2 or 3",
        ),
    ],
    ids=lambda part: ascii(part)[:40],
)
def test_a_field_that_is_not_right_is_named(
    changes: dict[str, object], sentence: str
) -> None:
    assert refusal(msgpack.packb(fields(**changes))) == sentence


def test_a_signature_of_another_length_is_refused() -> None:
    payload = msgpack.packb(fields())
    for length in (0, 63, 65):
        assert refusal(payload, bytes(length)) == (
            f"entry {NAME}: its signature is not right; expected 64 bytes"
        )


@pytest.mark.parametrize(
    ("seat", "act"),
    [
        (Seat.CLOCK, THREE),
        (Seat.BOOK, Points(Side.HOME, 2)),
        (Seat.VISITING, Points(Side.HOME, 2)),
        (Seat.CLOCK, Correction(None, THREE, 0, "left out")),
    ],
)
def test_an_act_of_another_seat_is_refused_whoever_signed_it(
    seat: Seat, act: Act
) -> None:
    right = pen(min(seats_of(act))).write(act, VectorClock(), 0)
    values = msgpack.unpackb(right.payload)
    values[3] = str(seat)
    payload = msgpack.packb(values)
    with pytest.raises(WrongSeatError, match=f"is no act of the {seat} seat"):
        unseal(payload, KEY.sign(payload))


def test_an_entry_under_another_device_is_not_verified() -> None:
    payload = msgpack.packb(fields(device=KEYS[0].device))
    forged = unseal(payload, KEY.sign(payload))
    with pytest.raises(BadSignatureError) as refused:
        verify(forged)
    assert str(refused.value) == f"entry {forged.id}: its signature is not valid"


def test_a_device_that_is_no_key_verifies_nothing() -> None:
    payload = msgpack.packb(fields(device=b"\xff" * 32))
    with pytest.raises(BadSignatureError):
        verify(unseal(payload, KEY.sign(payload)))


def test_another_spelling_of_the_same_values_is_another_entry() -> None:
    entry = entry_of()
    longer = entry.payload.replace(b"\xcd\x03\xe8", b"\xce\x00\x00\x03\xe8")
    assert msgpack.unpackb(longer) == msgpack.unpackb(entry.payload)
    with pytest.raises(BadSignatureError):
        verify(unseal(longer, entry.signature))
    own = unseal(longer, KEY.sign(longer))
    verify(own)
    assert own.digest != entry.digest


def accepts(payload: bytes, signature: bytes) -> bool:
    try:
        verify(unseal(payload, signature))
    except EntryError:
        return False
    return True


def flipped(data: bytes, bit: int) -> bytes:
    changed = bytearray(data)
    changed[bit // 8] ^= 1 << bit % 8
    return bytes(changed)


def test_every_flipped_bit_is_refused() -> None:
    entry = entry_of()
    assert accepts(entry.payload, entry.signature)
    for bit in range(8 * len(entry.payload)):
        assert not accepts(flipped(entry.payload, bit), entry.signature)
    for bit in range(8 * len(entry.signature)):
        assert not accepts(entry.payload, flipped(entry.signature, bit))


def test_every_truncation_is_refused() -> None:
    entry = entry_of()
    for length in range(len(entry.payload)):
        assert not accepts(entry.payload[:length], entry.signature)
    for length in range(len(entry.signature)):
        assert not accepts(entry.payload, entry.signature[:length])


@given(st.binary(max_size=200), st.binary(min_size=64, max_size=64))
def test_bytes_from_anywhere_are_refused_by_an_error_of_ours(
    payload: bytes, signature: bytes
) -> None:
    assert not accepts(payload, signature)


values = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**63), 2**64 - 1)
    | st.floats()
    | st.text(max_size=8)
    | st.binary(max_size=33),
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=3), inner)
    ),
    max_leaves=8,
)


@given(st.integers(0, 7), values)
def test_any_value_in_any_field_is_refused_by_an_error_of_ours(
    which: int, value: object
) -> None:
    changed = fields()
    changed[which] = value
    assert not accepts(msgpack.packb(changed), SIGNATURE)


def test_the_digest_names_the_signature_too() -> None:
    entry = entry_of()
    assert digest_of(entry.payload, SIGNATURE) != entry.digest
    assert replace(entry, signature=SIGNATURE) != entry
