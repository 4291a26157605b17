from __future__ import annotations

import math

import msgpack
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tablesync.errors import FieldError
from tablesync.strict_msgpack import unpack

plain = (
    st.none()
    | st.booleans()
    | st.integers(-(2**63), 2**64 - 1)
    | st.text(st.characters(exclude_categories=["Cs"]), max_size=8)
    | st.binary(max_size=8)
)
DEEP = "it holds a value of another kind, or too deep"


def nested(levels: int) -> bytes:
    return b"\x91" * levels + b"\x01"


@given(st.lists(plain | st.lists(plain, max_size=4), max_size=4))
def test_plain_values_in_arrays_are_read(value: object) -> None:
    assert unpack(msgpack.packb(value), levels=2) == value


@given(plain)
def test_a_value_in_no_array_needs_no_level(value: object) -> None:
    assert unpack(msgpack.packb(value), levels=0) == value


@pytest.mark.parametrize("levels", [0, 1, 2, 5])
def test_arrays_may_lie_as_deep_as_is_said_and_no_deeper(levels: int) -> None:
    unpack(nested(levels), levels)
    with pytest.raises(FieldError) as refused:
        unpack(nested(levels + 1), levels)
    assert str(refused.value) == (
        f"{DEEP}; expected plain values in at most {levels} levels of arrays"
    )


@pytest.mark.parametrize(
    "value",
    [1.5, math.nan, {}, [{}], msgpack.Timestamp(1), msgpack.ExtType(5, b"x")],
    ids=repr,
)
def test_a_value_of_another_kind_is_refused(value: object) -> None:
    with pytest.raises(FieldError, match=DEEP):
        unpack(msgpack.packb(value), levels=9)


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"\xc1",
        b"\x01\x01",
        b"\x92\x01",
        b"\xdd\xff\xff\xff\xff",
        b"\xa1\xff",
        b"\x81\x90\x01",
        nested(100_000),
    ],
    ids=lambda data: ascii(data)[:30],
)
def test_what_is_not_one_value_is_refused(data: bytes) -> None:
    with pytest.raises(FieldError) as refused:
        unpack(data, levels=9)
    assert str(refused.value) == "it is no msgpack; expected one msgpack value"


@given(st.binary(max_size=40))
def test_bytes_from_anywhere_give_a_plain_value_or_an_error_of_ours(
    data: bytes,
) -> None:
    try:
        value = unpack(data, levels=3)
    except FieldError:
        return
    assert unpack(msgpack.packb(value), levels=3) == value
