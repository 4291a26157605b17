from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tablesync.admission.invitation import Invitation, RelayAddress
from tablesync.core.acts import Seat
from tablesync.errors import BadInputError
from tablesync.relay_address import checked_address, place_of, relay_address


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("ws://192.168.1.20:8642", "ws://192.168.1.20:8642"),
        (" 192.168.1.20 ", "ws://192.168.1.20:8642"),
        ("192.168.1.20:99", "ws://192.168.1.20:99"),
        ("gym-office.local", "ws://gym-office.local:8642"),
        ("wss://gym-office/a", "wss://gym-office:8642/a"),
        ("ws://[fd00::7]", "ws://[fd00::7]:8642"),
    ],
)
def test_what_is_left_out_is_added(typed: str, meant: str) -> None:
    assert relay_address(typed) == meant
    assert checked_address(typed) == meant


@pytest.mark.parametrize(
    "typed",
    [
        "",
        "ws://",
        "ws://10.0.0.5:abc",
        "ws://10.0.0.5:99999",
        "http://10.0.0.5",
        "two words",
        "ws://a@b",
        "ws://[::1",
    ],
)
def test_what_can_be_no_address_is_none(typed: str) -> None:
    assert relay_address(typed) is None
    with pytest.raises(BadInputError, match="is no address; expected ws://"):
        checked_address(typed)


RELAY = RelayAddress("10.0.0.5", 8642, bytes(32))


def test_the_text_of_a_qr_code_is_an_address_and_shown_without_its_secret() -> None:
    invitation = Invitation(RELAY, bytes(32), Seat.BOOK, b"\x01" * 16)
    for text in (str(RELAY), str(invitation)):
        assert relay_address(f" {text} ") == text
        assert place_of(text) == "wss://10.0.0.5:8642"


def test_half_an_invitation_is_told_as_one_and_its_secret_is_not() -> None:
    text = str(Invitation(RELAY, bytes(32), Seat.BOOK, b"\x01" * 16))[:-1]
    assert relay_address(text) is None
    with pytest.raises(
        BadInputError, match="expected the whole text of the QR"
    ) as told:
        checked_address(text)
    assert text[-20:] not in str(told.value)


@given(typed=st.text(max_size=40))
def test_an_address_that_was_meant_means_itself(typed: str) -> None:
    meant = relay_address(typed)
    assert meant is None or relay_address(meant) == meant
