"""Invitations and addresses as one line of text."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tablesync.admission.invitation import (
    Invitation,
    RelayAddress,
    read_invitation,
    read_relay_address,
)
from tablesync.core.acts import Seat
from tablesync.errors import BadInputError

RELAY = RelayAddress("192.168.1.20", 8642, bytes(range(32)))
INVITATION = Invitation(RELAY, b"\xff" * 32, Seat.BOOK, bytes(range(16)))
# The base 32 of RFC 4648, from Python's own base64 module.
CERTIFICATE = "AAAQEAYEAUDAOCAJBIFQYDIOB4IBCEQTCQKRMFYYDENBWHA5DYPQ"
GAME = "7" * 51 + "Q"
SECRET = "AAAQEAYEAUDAOCAJBIFQYDIOB4"
TEXT = f"TABLESYNC:/1/192.168.1.20:8642/{CERTIFICATE}/{GAME}/BOOK/{SECRET}"

addresses = st.builds(
    RelayAddress,
    st.sampled_from(["192.168.1.20", "hall-2.example", "[fe80::1]"]),
    st.integers(1, 2**16 - 1),
    st.binary(min_size=32, max_size=32),
)


def test_text_of_an_invitation_is_exactly_this() -> None:
    assert str(INVITATION) == TEXT
    assert read_invitation(TEXT) == INVITATION


def test_small_letters_are_read_too() -> None:
    assert read_invitation(f" {TEXT.lower()}\n") == INVITATION


def test_text_fits_the_small_alphabet_of_a_qr_code() -> None:
    # ISO/IEC 18004, alphanumeric mode.
    assert set(TEXT) <= set("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:")


def test_address_of_an_invitation_is_its_relays() -> None:
    assert read_relay_address(TEXT) == RELAY
    assert read_relay_address(str(RELAY)) == RELAY


@given(
    addresses,
    st.binary(min_size=32, max_size=32),
    st.none() | st.sampled_from(Seat),
    st.binary(min_size=16, max_size=16),
)
def test_what_is_written_is_read_back(
    relay: RelayAddress, game: bytes, seat: Seat | None, secret: bytes
) -> None:
    invitation = Invitation(relay, game, seat, secret)
    assert read_invitation(str(invitation)) == invitation


@pytest.mark.parametrize(
    "text",
    [
        "",
        "ws://192.168.1.20:8642",
        str(RELAY),
        TEXT.replace("/1/", "/2/"),
        TEXT.replace(":8642", ":0"),
        TEXT.replace(":8642", ":65536"),
        TEXT.replace("192.168.1.20", "a b"),
        TEXT.replace("BOOK", "REFEREE"),
        TEXT[:-1],
        TEXT + "A",
        TEXT[:-1] + "5",
        TEXT.replace(GAME, GAME[:-1] + "R"),
        TEXT + "/",
    ],
)
def test_anything_else_is_no_invitation_and_is_not_repeated(text: str) -> None:
    with pytest.raises(BadInputError) as refused:
        read_invitation(text)
    assert SECRET[:8] not in str(refused.value)


@given(st.text())
def test_no_text_is_read_in_a_way_that_was_not_meant(text: str) -> None:
    with pytest.raises(BadInputError):
        read_relay_address(text)
    with pytest.raises(BadInputError):
        read_invitation(f"TABLESYNC:/1/{text}")
