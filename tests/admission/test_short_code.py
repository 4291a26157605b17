"""Short codes, and the key exchange that they start."""

from __future__ import annotations

import os
from hashlib import sha256
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from spake2 import SPAKE2_A, SPAKE2_B

from tablesync.admission.short_code import (
    DeviceExchange,
    RelayExchange,
    code_text,
    read_code,
)
from tablesync.core.acts import Seat
from tablesync.errors import BadInputError, ForgedError, WrongCodeError

if TYPE_CHECKING:
    from collections.abc import Callable

RELAY, NONCE = b"c" * 32, b"n" * 32


def chance(seed: bytes) -> Callable[[int], bytes]:
    """The stream of the library's own test vectors: blocks of a counted hash."""
    stream = b"".join(
        sha256(b"prng-%d-%s" % (block, seed)).digest() for block in range(8)
    )
    taken = 0

    def take(size: int) -> bytes:
        nonlocal taken
        taken += size
        return stream[taken - size : taken]

    return take


def test_library_gives_the_vector_that_its_own_tests_publish() -> None:
    # python-spake2 0.9, test_compat.py, test_asymmetric; other implementations use it.
    a = SPAKE2_A(b"password", entropy_f=chance(b"A"))
    b = SPAKE2_B(b"password", entropy_f=chance(b"B"))
    first, answer = a.start(), b.start()
    assert first.hex() == (
        "416fc960df73c9cf8ed7198b0c9534e2e96a5984bfc5edc023fd24dacf371f2af9"
    )
    assert answer.hex() == (
        "42354e97b88406922b1df4bea1d7870f17aed3dba7c720b313edae315b00959309"
    )
    key = "a480bca13fa04464bb644f10e340125e96c9494f7399fef7c2bda67eb0fdf06d"
    assert a.finish(answer).hex() == b.finish(first).hex() == key


def test_same_code_gives_both_the_same_key() -> None:
    device = DeviceExchange("481926", RELAY, os.urandom)
    relay = RelayExchange("481926", RELAY, os.urandom)
    there = relay.key(device.first, NONCE)
    here = device.key(relay.answer, NONCE)
    there.require(here.confirm(), there.confirm())
    handed = there.hand(b"g" * 32, Seat.BOOK, b"s" * 16)
    here.require(handed, here.hand(b"g" * 32, Seat.BOOK, b"s" * 16))


@pytest.mark.parametrize(
    ("digits", "certificate"), [("481927", RELAY), ("481926", b"x" * 32)]
)
def test_another_code_or_certificate_gives_another_key(
    digits: str, certificate: bytes
) -> None:
    device = DeviceExchange(digits, certificate, os.urandom)
    relay = RelayExchange("481926", RELAY, os.urandom)
    there = relay.key(device.first, NONCE)
    with pytest.raises(WrongCodeError):
        there.require(device.key(relay.answer, NONCE).confirm(), there.confirm())


@settings(max_examples=15)
@given(st.binary(min_size=32, max_size=32))
def test_nothing_is_taken_that_does_not_lead_to_the_right_key(point: bytes) -> None:
    relay = RelayExchange("481926", RELAY, os.urandom)
    try:
        key = relay.key(b"A" + point, NONCE)
    except ForgedError:
        return
    # Some bytes happen to be a point of the group: then the key is another one.
    with pytest.raises(WrongCodeError):
        key.require(bytes(32), key.confirm())


@pytest.mark.parametrize("side", [b"B", b"S", b"\x00"])
def test_message_of_another_side_is_refused(side: bytes) -> None:
    device = DeviceExchange("481926", RELAY, os.urandom)
    relay = RelayExchange("481926", RELAY, os.urandom)
    with pytest.raises(ForgedError):
        relay.key(side + device.first[1:], NONCE)


@pytest.mark.parametrize("text", ["3-481-926", "3-481926", " 3-481 926 "])
def test_code_is_read_as_it_is_shown_or_typed(text: str) -> None:
    assert read_code(text) == (3, "481926")
    assert code_text(3, "481926") == "3-481-926"


@pytest.mark.parametrize(
    "text", ["", "481926", "0-481926", "3-48192", "3-4819266", "3"]
)
def test_anything_else_is_no_code(text: str) -> None:
    with pytest.raises(BadInputError, match="one such as 3-481-926"):
        read_code(text)
