"""Record files on the disk."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from tablesync.errors import RecordFileError
from tablesync.record.verification import open_record

if TYPE_CHECKING:
    from pathlib import Path

    from tablesync.record.verification import OpenedRecord

__all__ = ["bytes_at", "record_at", "write_new"]


def bytes_at(path: Path) -> bytes:
    """The bytes of a file.

    Raises:
        RecordFileError: it can't be read.
    """
    try:
        return path.read_bytes()
    except OSError as error:
        raise RecordFileError(
            str(path), f"can't be read ({error.strerror})", "a record file"
        ) from error


def record_at(path: Path) -> OpenedRecord:
    """The record in a file.

    Raises:
        RecordFileError: it can't be read or has a fault; `tablesync verify` says more.
    """
    data = bytes_at(path)
    try:
        return open_record(data)
    except RecordFileError as error:
        where = f"{path}: {error.where}"
        raise RecordFileError(where, error.what, error.expected) from error


def write_new(path: Path, data: bytes) -> None:
    """Writes a file that is not there yet, onto the disk.

    A record is never written over.

    Raises:
        RecordFileError: there is such a file, or it can't be written.
    """
    try:
        with path.open("xb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
    except OSError as error:
        raise RecordFileError(
            str(path), f"can't be written ({error.strerror})", "the name of a new file"
        ) from error
