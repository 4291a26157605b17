"""A relay's signing key, in a file of its own beside the store.

The store may be handed to others as evidence; the key may not.
"""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from tablesync.errors import StorageError
from tablesync.seal import DeviceKey

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["relay_key_at"]

SECRET_BYTES = 32


def relay_key_at(store: Path) -> DeviceKey:
    """The key of the relay that keeps its games in this store; new where there is none.

    Raises:
        StorageError: it can't be read or made, or is no key.
    """
    path = store.with_name(f"{store.name}.key")
    try:
        secret = _made(path) or path.read_bytes()
    except OSError as error:
        raise StorageError(str(path), str(error.strerror)) from error
    if len(secret) != SECRET_BYTES:
        raise StorageError(str(path), "is no relay's key")
    return DeviceKey(secret)


def _made(path: Path) -> bytes | None:
    """A new secret on the disk, readable for its owner only; None if there is one."""
    try:
        file = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return None
    secret = os.urandom(SECRET_BYTES)
    with os.fdopen(file, "wb") as written:
        written.write(secret)
        written.flush()
        os.fsync(written.fileno())
    return secret
