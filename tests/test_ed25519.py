"""Both libraries come to one answer, also where they differ about what to accept."""

from __future__ import annotations

from itertools import product
from typing import TYPE_CHECKING

import pytest
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import (
    Ed25519PrivateKey,
    Ed25519PublicKey,
)
from hypothesis import given
from hypothesis import strategies as st
from nacl.bindings import crypto_sign_open
from nacl.exceptions import BadSignatureError

from tablesync import ed25519
from tablesync.ed25519 import is_signature

if TYPE_CHECKING:
    from collections.abc import Iterator

PRIVATE = Ed25519PrivateKey.from_private_bytes(b"k" * 32)
KEY = PRIVATE.public_key().public_bytes_raw()
ORDER = 2**252 + 27742317777372353535851937790883648493
"""Of the base point: RFC 8032, section 5.1."""
SMALL = [
    bytes.fromhex(point)
    for point in (
        "0100000000000000000000000000000000000000000000000000000000000000",
        "ecffffffffffffffffffffffffffffffffffffffffffffffffffffffffffff7f",
        "0000000000000000000000000000000000000000000000000000000000000000",
        "0000000000000000000000000000000000000000000000000000000000000080",
        "26e8958fc2b227b045c3f489f2ef98f0d5dfac05d3c63339b13802886d53fc05",
        "26e8958fc2b227b045c3f489f2ef98f0d5dfac05d3c63339b13802886d53fc85",
        "c7176a703d4dd84fba3c0b760d10670f2a2053fa2c39ccc64ec7fd7792ac037a",
        "c7176a703d4dd84fba3c0b760d10670f2a2053fa2c39ccc64ec7fd7792ac03fa",
    )
]
"""The eight points whose order divides 8, from memory."""


def openssl_accepts(key: bytes, signature: bytes, data: bytes) -> bool:
    try:
        Ed25519PublicKey.from_public_bytes(key).verify(signature, data)
    except (InvalidSignature, ValueError):
        return False
    return True


def sodium_accepts(key: bytes, signature: bytes, data: bytes) -> bool:
    try:
        crypto_sign_open(signature + data, key)
    except (BadSignatureError, ValueError):
        return False
    return True


@pytest.fixture(params=["with libsodium", "without it"])
def installed(
    request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch
) -> Iterator[None]:
    if request.param == "without it":
        monkeypatch.setattr(ed25519, "find_spec", lambda _name: None)
    ed25519._sodium_accepts.cache_clear()
    yield
    ed25519._sodium_accepts.cache_clear()


@pytest.mark.usefixtures("installed")
def test_points_of_small_order_are_judged_as_openssl_does() -> None:
    scalars = [n.to_bytes(32, "little") for n in (0, 1, ORDER - 1, ORDER, ORDER + 1)]
    cases = [
        (key, point + scalar, bytes([text]))
        for key, point, scalar, text in product([KEY, *SMALL], SMALL, scalars, range(8))
    ]
    for case in cases:
        assert is_signature(*case) == openssl_accepts(*case)
    # So there is something about which the two differ.
    assert [case for case in cases if openssl_accepts(*case)]
    assert not [case for case in cases if sodium_accepts(*case)]


@pytest.mark.usefixtures("installed")
def test_a_scalar_beyond_the_order_is_refused() -> None:
    # RFC 8032, 5.1.7: a signature whose S is not below the order is not valid.
    good = PRIVATE.sign(b"basket")
    scalar = int.from_bytes(good[32:], "little") + ORDER
    assert is_signature(KEY, good, b"basket")
    assert not is_signature(KEY, good[:32] + scalar.to_bytes(32, "little"), b"basket")


@pytest.mark.usefixtures("installed")
def test_only_a_signature_of_64_bytes_is_one() -> None:
    good = PRIVATE.sign(b"basket")
    assert not is_signature(KEY, good[:-1], good[-1:] + b"basket")
    assert not is_signature(KEY, good + b"b", b"asket")
    assert not is_signature(KEY[:-1], good, b"basket")


@given(st.binary(max_size=40), st.integers(0, 511), st.sampled_from(["key", "text"]))
def test_a_changed_bit_is_found(text: bytes, bit: int, changed: str) -> None:
    good = PRIVATE.sign(text)
    place, mask = bit // 8, 1 << bit % 8
    spoilt = bytes(b ^ mask if at == place else b for at, b in enumerate(good))
    assert is_signature(KEY, good, text)
    assert not is_signature(KEY, spoilt, text)
    if changed == "key":
        key = bytes(b ^ 1 if at == place % 32 else b for at, b in enumerate(KEY))
        assert not is_signature(key, good, text)
    else:
        assert not is_signature(KEY, good, text + b"!")
