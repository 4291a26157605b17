"""Record files on the disk."""

from __future__ import annotations

import errno
import os
from typing import TYPE_CHECKING

from tablesync.errors import RecordFileError
from tablesync.fault_points import FaultPoint, reach
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
    """Writes a file that is not there yet onto the disk, whole or not at all.

    A record is never written over. Where the program ends amid the writing, what it
    has written lies beside the place under another name, and is in nobody's way.

    Raises:
        RecordFileError: there is such a file, or it can't be written.
    """
    draft = path.with_name(f"{path.name}.new")
    try:
        if path.exists():
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST))
        try:
            _write_draft(draft, data)
            draft.replace(path)
        finally:
            draft.unlink(missing_ok=True)
    except OSError as error:
        raise RecordFileError(
            str(path), f"can't be written ({error.strerror})", "the name of a new file"
        ) from error


def _write_draft(draft: Path, data: bytes) -> None:
    with draft.open("wb") as file:
        file.write(data)
        reach(FaultPoint.AMID_FILE)
        file.flush()
        os.fsync(file.fileno())
