"""Whether a signature is an Ed25519 one (RFC 8032), by the faster library there is.

libsodium (PyNaCl, of the extra `fast`) takes half as long as OpenSSL. It accepts less:
no keys and no points of small order. So it only ever says yes; where it does not,
OpenSSL has the last word. Every holder comes to the same answer, whatever it has.
"""

from __future__ import annotations

from functools import cache
from importlib.util import find_spec
from typing import TYPE_CHECKING

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["SIGNATURE_BYTES", "is_signature"]

SIGNATURE_BYTES = 64


def is_signature(key: bytes, signature: bytes, data: bytes) -> bool:
    """Whether the key's owner has signed exactly this.

    Args:
        key: the public key, 32 bytes; no key has another length.
        signature: no signature is of another length than 64 bytes.
        data: what was signed.
    """
    return _sodium_accepts()(key, signature, data) or _accepts(key, signature, data)


def _accepts(key: bytes, signature: bytes, data: bytes) -> bool:
    try:
        Ed25519PublicKey.from_public_bytes(key).verify(signature, data)
    except (InvalidSignature, ValueError):
        return False
    return True


@cache
def _sodium_accepts() -> Callable[[bytes, bytes, bytes], bool]:
    """Imported when there is something to verify: not every command has."""
    if find_spec("nacl") is None:
        return lambda _key, _signature, _data: False

    from nacl.bindings import crypto_sign_open
    from nacl.exceptions import BadSignatureError

    def accepts(key: bytes, signature: bytes, data: bytes) -> bool:
        # It takes both as one, and would look for the end of a short one in the data.
        if len(signature) != SIGNATURE_BYTES:
            return False
        try:
            crypto_sign_open(signature + data, key)
        except (BadSignatureError, ValueError):
            return False
        return True

    return accepts
