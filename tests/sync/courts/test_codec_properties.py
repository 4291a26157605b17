"""Every message about courts comes back from its frame; nothing else comes out."""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING

from hypothesis import given
from hypothesis import strategies as st

from tablesync.errors import ProtocolError
from tablesync.sync.courts.codec import decode_courts, encode_courts
from tests.sync.courts.strategies import messages

if TYPE_CHECKING:
    from tablesync.sync.courts.messages import CourtMessage


@given(messages)
def test_message_comes_back_from_its_frame(message: CourtMessage) -> None:
    assert decode_courts(encode_courts(message)) == message


@given(st.binary(max_size=300))
def test_any_bytes_are_a_message_or_a_protocol_error(frame: bytes) -> None:
    with suppress(ProtocolError):
        decode_courts(frame)


@given(messages, st.data())
def test_one_changed_byte_is_a_message_or_a_protocol_error(
    message: CourtMessage, data: st.DataObject
) -> None:
    frame = bytearray(encode_courts(message))
    place = data.draw(st.integers(0, len(frame) - 1))
    frame[place] = data.draw(st.integers(0, 255))
    with suppress(ProtocolError):
        decode_courts(bytes(frame))
