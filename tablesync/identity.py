"""What a relay is known by: a key, and a certificate of its own making.

Nobody vouches for the certificate. Whoever is given a seat is told its hash with it,
and connects to nothing that shows another. The same key signs admissions and
checkpoints, also where there is no gate and nobody is shown the certificate. It is in a
file of its own beside the store: the store may be handed to others as evidence.
"""

from __future__ import annotations

import hashlib
import os
import ssl
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from cryptography import x509
from cryptography.hazmat.primitives import serialization
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.x509.oid import NameOID

from tablesync.errors import StorageError
from tablesync.frozen import dataclass
from tablesync.seal import DeviceKey

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["RelayIdentity", "certificate_hash", "identity_at", "identity_path"]

VALID_FROM = datetime(2020, 1, 1, tzinfo=UTC)
"""Long ago, since a gym's laptop may have its date wrong; the hash is what counts."""
VALID_DAYS = 36_500


@dataclass(frozen=True, slots=True)
class RelayIdentity:
    """A relay's key and certificate, as they are on its disk."""

    key: DeviceKey
    certificate: bytes
    """The SHA-256 of the certificate's DER bytes."""
    context: ssl.SSLContext
    """How the relay's end speaks TLS: 1.3 and nothing older."""


def certificate_hash(der: bytes) -> bytes:
    """What a certificate is known by."""
    return hashlib.sha256(der).digest()


def identity_path(store: Path) -> Path:
    """Where a relay with this store keeps its key and certificate."""
    return store.with_name(f"{store.name}.identity")


def identity_at(path: Path) -> RelayIdentity:
    """The identity in a file, which only its owner can read; made at the first start.

    Raises:
        StorageError: it can't be read or made.
    """
    try:
        if not path.exists():
            _make(path)
        pem = path.read_bytes()
        key = serialization.load_pem_private_key(pem, password=None)
        certificate = x509.load_pem_x509_certificate(pem)
    except OSError as error:
        raise StorageError(str(path), str(error.strerror)) from error
    except ValueError as error:
        raise StorageError(str(path), "holds no key and certificate") from error
    if not isinstance(key, Ed25519PrivateKey):
        raise StorageError(str(path), "holds a key of another kind")
    der = certificate.public_bytes(serialization.Encoding.DER)
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.minimum_version = ssl.TLSVersion.TLSv1_3
    # Nobody resumes: the certificate has to be shown anew each time.
    context.num_tickets = 0
    context.load_cert_chain(path)
    return RelayIdentity(
        DeviceKey(key.private_bytes_raw()), certificate_hash(der), context
    )


def _make(path: Path) -> None:
    key = Ed25519PrivateKey.generate()
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "tablesync relay")])
    certificate = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(VALID_FROM)
        .not_valid_after(VALID_FROM + timedelta(days=VALID_DAYS))
        .sign(key, algorithm=None)
    )
    pem = key.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )
    pem += certificate.public_bytes(serialization.Encoding.PEM)
    # Whole or not at all: half a key would keep the relay from ever starting again.
    draft = path.with_name(f"{path.name}.new")
    flags = os.O_CREAT | os.O_TRUNC | os.O_WRONLY
    with os.fdopen(os.open(draft, flags, 0o600), "wb") as file:
        file.write(pem)
        file.flush()
        os.fsync(file.fileno())
    draft.replace(path)
