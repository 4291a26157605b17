"""A relay's key and certificate."""

from __future__ import annotations

import ssl
import stat
import subprocess
from typing import TYPE_CHECKING

import pytest

from tablesync.errors import StorageError
from tablesync.identity import certificate_hash, identity_at

if TYPE_CHECKING:
    from pathlib import Path


def test_identity_is_made_once_and_kept(tmp_path: Path) -> None:
    first, again = identity_at(tmp_path / "id"), identity_at(tmp_path / "id")
    assert first.certificate == again.certificate
    assert first.key.device == again.key.device
    assert identity_at(tmp_path / "other").certificate != first.certificate


def test_only_its_owner_can_read_it(tmp_path: Path) -> None:
    identity_at(tmp_path / "id")
    assert stat.S_IMODE((tmp_path / "id").stat().st_mode) == 0o600
    assert [path.name for path in tmp_path.iterdir()] == ["id"]


def test_hash_is_that_of_the_certificates_bytes(tmp_path: Path) -> None:
    identity = identity_at(tmp_path / "id")
    pem = (tmp_path / "id").read_text()
    der = ssl.PEM_cert_to_DER_cert(pem[pem.index("-----BEGIN CERTIFICATE") :])
    assert certificate_hash(der) == identity.certificate


def test_openssl_finds_the_same_hash(tmp_path: Path) -> None:
    identity = identity_at(tmp_path / "id")
    try:
        asked = f"openssl x509 -in {tmp_path / 'id'} -noout -fingerprint -sha256"
        told = subprocess.run(
            asked.split(),
            capture_output=True,
            text=True,
            check=True,
        )
    except FileNotFoundError:
        pytest.skip("no openssl on this machine")
    found = told.stdout.strip().rpartition("=")[2].replace(":", "")
    assert bytes.fromhex(found) == identity.certificate


@pytest.mark.parametrize("content", ["", "no key\n"])
def test_file_without_a_key_is_named(tmp_path: Path, content: str) -> None:
    (tmp_path / "id").write_text(content)
    with pytest.raises(StorageError, match="holds no key and certificate"):
        identity_at(tmp_path / "id")
