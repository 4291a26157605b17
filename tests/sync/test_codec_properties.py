"""Every message comes back from its frame; nothing else comes out of one."""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING

import msgpack
from hypothesis import given
from hypothesis import strategies as st

from tablesync.errors import ProtocolError
from tablesync.sync.codec import MOST_BYTES, decode, encode, pages
from tests.sync.strategies import messages, sealed_entries

if TYPE_CHECKING:
    from tablesync.sync.messages import Message, Sealed


@given(messages)
def test_message_comes_back_from_its_frame(message: Message) -> None:
    frame = encode(message)
    assert len(frame) <= MOST_BYTES
    assert decode(frame) == message


@given(st.binary(max_size=300))
def test_any_bytes_are_a_message_or_a_protocol_error(frame: bytes) -> None:
    with suppress(ProtocolError):
        decode(frame)


plain = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**63), 2**64 - 1)
    | st.floats()
    | st.text(max_size=8)
    | st.binary(max_size=40),
    lambda inner: (
        st.lists(inner, max_size=6)
        | st.dictionaries(st.text(max_size=3), inner, max_size=2)
    ),
    max_leaves=20,
)


@given(st.integers(0, 32), st.lists(plain, max_size=6))
def test_any_array_is_a_message_or_a_protocol_error(
    kind: int, fields: list[object]
) -> None:
    with suppress(ProtocolError):
        decode(msgpack.packb([kind, *fields]))


@given(messages, st.data())
def test_one_changed_byte_is_a_message_or_a_protocol_error(
    message: Message, data: st.DataObject
) -> None:
    frame = bytearray(encode(message))
    place = data.draw(st.integers(0, len(frame) - 1))
    frame[place] = data.draw(st.integers(0, 255))
    with suppress(ProtocolError):
        decode(bytes(frame))


@given(st.lists(sealed_entries, max_size=40))
def test_pages_hold_all_entries_in_their_order(entries: list[Sealed]) -> None:
    assert [one for page in pages(entries) for one in page.entries] == entries
