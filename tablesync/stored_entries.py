"""Entries as they are kept: rows that go in, and entries that come out checked."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.entries import digest_of
from tablesync.errors import CorruptJournalError, EntryError
from tablesync.seal import unseal

if TYPE_CHECKING:
    from collections.abc import Iterable

    from tablesync.core.entries import Entry
    from tablesync.database import Row
    from tablesync.sync.intake import Holder

__all__ = ["entry_row", "restore"]


def entry_row(entry: Entry) -> Row:
    """Digest, payload and signature: exactly what was signed, and its identity."""
    return entry.digest, entry.payload, entry.signature


def restore(rows: Iterable[Row], holder: Holder, where: str) -> None:
    """Gives stored rows back to a holder, in the order in which they were stored.

    Every entry must have the digest under which it was stored, and must follow from
    those before it; that covers the signatures too, which were verified when it came.

    Raises:
        CorruptJournalError: one does not. The entries before it have been given back.
    """
    for place, (digest, payload, signature) in enumerate(rows, 1):
        if digest_of(payload, signature) != digest:
            raise CorruptJournalError(where, f"stored entry {place} has been changed")
        try:
            taken = holder.receive(unseal(payload, signature))
        except EntryError as error:
            what = f"stored entry {place} is not acceptable: {error}"
            raise CorruptJournalError(where, what) from error
        if not taken:
            what = f"stored entry {place} is not preceded by what it follows"
            raise CorruptJournalError(where, what)
