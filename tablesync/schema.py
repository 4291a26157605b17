"""The tables of both kinds of database, and the steps from each version to the next.

A step and the note that it was taken are one transaction, so a database is always of
one version in full. What a step says is never changed afterwards: the next version is
one more step at the end.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.errors import SchemaVersionError, StorageError
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    import aiosqlite

__all__ = ["ADMISSIONS", "JOURNAL", "STORE", "Schema", "bring_up_to_date"]


@dataclass(frozen=True, slots=True)
class Schema:
    """One kind of database."""

    name: str
    application_id: int
    """Marks the file as of this kind (SQLite's `application_id`)."""
    pragmas: tuple[str, ...]
    """How SQLite is to treat it, beyond what holds for all."""
    steps: tuple[str, ...]
    """SQL that leads from version n to n + 1, from version 0, the empty file."""


STORE = Schema(
    name="a relay's store",
    application_id=0x54535354,
    # A checkpoint is made at a quiet moment, by another connection.
    pragmas=("wal_autocheckpoint = 0",),
    steps=(
        """
        CREATE TABLE sheet (
            game BLOB PRIMARY KEY,
            bytes BLOB NOT NULL
        ) WITHOUT ROWID;
        CREATE TABLE entry (
            taken INTEGER PRIMARY KEY,
            game BLOB NOT NULL,
            digest BLOB NOT NULL,
            payload BLOB NOT NULL,
            signature BLOB NOT NULL,
            UNIQUE (game, digest)
        );
        CREATE TABLE evidence (
            taken INTEGER PRIMARY KEY,
            game BLOB NOT NULL,
            kind BLOB NOT NULL,
            content BLOB NOT NULL,
            UNIQUE (game, kind, content)
        );
        """,
    ),
)

JOURNAL = Schema(
    name="a device's journal",
    application_id=0x54534A4C,
    # Two programs that write with one key would fork the record.
    pragmas=("locking_mode = EXCLUSIVE",),
    steps=(
        """
        CREATE TABLE device (
            one INTEGER PRIMARY KEY CHECK (one = 1),
            secret BLOB NOT NULL,
            game BLOB NOT NULL,
            seat TEXT,
            sheet BLOB,
            acknowledged INTEGER NOT NULL,
            offset_ms INTEGER NOT NULL,
            heard_ms INTEGER NOT NULL
        );
        CREATE TABLE entry (
            taken INTEGER PRIMARY KEY,
            digest BLOB NOT NULL UNIQUE,
            payload BLOB NOT NULL,
            signature BLOB NOT NULL
        );
        """,
        "ALTER TABLE device ADD COLUMN written INTEGER NOT NULL DEFAULT 0;",
    ),
)


ADMISSIONS = Schema(
    name="a relay's admissions",
    application_id=0x54534144,
    pragmas=(),
    steps=(
        """
        CREATE TABLE offer (
            number INTEGER PRIMARY KEY,
            game BLOB NOT NULL,
            seat TEXT,
            secret BLOB NOT NULL UNIQUE,
            digits TEXT NOT NULL,
            until_ms INTEGER NOT NULL,
            guesses INTEGER NOT NULL,
            way TEXT NOT NULL,
            is_confirmed INTEGER NOT NULL,
            is_used INTEGER NOT NULL
        );
        CREATE TABLE member (
            game BLOB NOT NULL,
            device BLOB NOT NULL,
            seat TEXT,
            rank TEXT NOT NULL,
            payload BLOB,
            signature BLOB,
            way TEXT NOT NULL,
            has_written INTEGER NOT NULL,
            PRIMARY KEY (game, device)
        ) WITHOUT ROWID;
        """,
    ),
)


async def bring_up_to_date(
    connection: aiosqlite.Connection, schema: Schema, where: str
) -> None:
    """Takes the steps that the database still lacks.

    Raises:
        SchemaVersionError: a later version of the program has written it.
        StorageError: it is a database of another kind.
    """
    version = await _number(connection, "PRAGMA user_version")
    kind = await _number(connection, "PRAGMA application_id")
    tables = await _number(connection, "SELECT count(*) FROM sqlite_master")
    is_new = (version, kind, tables) == (0, 0, 0)
    if not is_new and kind != schema.application_id:
        raise StorageError(where, f"is a database, but not {schema.name}")
    if version > len(schema.steps):
        raise SchemaVersionError(
            where,
            f"is {schema.name} of version {version}; "
            f"this program reads up to version {len(schema.steps)}",
        )
    for number, step in enumerate(schema.steps[version:], version + 1):
        await connection.executescript(
            f"BEGIN IMMEDIATE; {step}"
            f"PRAGMA application_id = {schema.application_id};"
            f"PRAGMA user_version = {number}; COMMIT;"
        )


async def _number(connection: aiosqlite.Connection, sql: str) -> int:
    async with connection.execute(sql) as cursor:
        row = await cursor.fetchone()
    assert row is not None
    return int(row[0])
