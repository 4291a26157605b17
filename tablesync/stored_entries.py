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
    """Gives stored rows back to a holder, whatever their order.

    Every entry must have the digest under which it was stored, and must follow from
    others that are there; that covers the signatures too, which were verified when it
    came. What does not is left out, and what follows from it waits in the holder, which
    is then good to read and to be refilled: it says to every other holder what it has,
    and is sent the rest.

    Raises:
        CorruptJournalError: not all could be given back. Those that could have been.
    """
    wrong: dict[int, str] = {}
    places: dict[bytes, int] = {}
    for place, (digest, payload, signature) in enumerate(rows, 1):
        # A flipped bit can make anything of a value, even one of another type.
        is_bytes = isinstance(payload, bytes) and isinstance(signature, bytes)
        if not is_bytes or digest_of(payload, signature) != digest:
            wrong[place] = "has been changed"
            continue
        places[digest] = place
        try:
            holder.receive(unseal(payload, signature))
        except EntryError as error:
            wrong[place] = f"is not acceptable: {error}"
    for digest, place in places.items():
        if digest not in holder.history:
            wrong.setdefault(place, "is not preceded by what it follows")
    if wrong:
        raise CorruptJournalError(where, _in_words(wrong))


def _in_words(wrong: dict[int, str]) -> str:
    first = min(wrong)
    others = f", and {len(wrong) - 1} others can't be read" if len(wrong) > 1 else ""
    return (
        f"stored entry {first} {wrong[first]}{others}; whoever else holds them sends "
        "them again at the next connection"
    )
