"""A relay's file of invitations and of the devices that it has let in.

It stands beside the store, so that invitations can be made while the relay runs. The
secrets are in it as they are: only its owner can read it.
"""

from __future__ import annotations

import secrets
from contextlib import suppress
from typing import TYPE_CHECKING, Self, TypeVar

from tablesync.admission.frames import Granted
from tablesync.admission.grants import Way
from tablesync.admission.invitation import SECRET_BYTES
from tablesync.admission.register import Change, Member, Offer, Rank
from tablesync.admission.short_code import CODE_DIGITS
from tablesync.core.acts import Seat
from tablesync.core.vector_clock import DeviceId
from tablesync.database import Database, Row, Statement, create_file, translated
from tablesync.errors import CorruptJournalError
from tablesync.schema import ADMISSIONS

if TYPE_CHECKING:
    import asyncio
    from collections.abc import Callable, Iterable
    from pathlib import Path

__all__ = ["VALID_MS", "Admissions", "admissions_path", "new_offer"]

T = TypeVar("T")

VALID_MS = 3 * 60 * 60_000
"""How long an invitation may wait: given out before the game, used at the table."""

INSERT_OFFER = """
    INSERT INTO offer VALUES (
        (SELECT coalesce(max(number), 0) + 1 FROM offer), ?, ?, ?, ?, ?, 0, ?, ?, 0
    )
"""
UPDATE_OFFER = """
    UPDATE offer SET digits = ?, guesses = ?, way = ?, is_used = ? WHERE number = ?
"""
SELECT_OFFERS = "SELECT * FROM offer WHERE is_used = 0 ORDER BY number"
SELECT_OFFER = "SELECT * FROM offer WHERE secret = ?"
PUT_MEMBER = "INSERT OR REPLACE INTO member VALUES (?, ?, ?, ?, ?, ?, ?, ?)"
SELECT_MEMBERS = "SELECT * FROM member"


def admissions_path(store: Path) -> Path:
    """Where a relay with this store keeps its admissions."""
    return store.with_name(f"{store.name}.admissions")


def new_offer(game: bytes, seat: Seat | None, now_ms: int) -> Offer:
    """An invitation with a new secret and a new code, without its number yet."""
    return Offer(
        number=0,
        game=game,
        seat=seat,
        secret=secrets.token_bytes(SECRET_BYTES),
        digits=f"{secrets.randbelow(10**CODE_DIGITS):0{CODE_DIGITS}}",
        until_ms=now_ms + VALID_MS,
    )


class Admissions:
    """The open file; made by `Admissions.open`, ended by `close`."""

    def __init__(self, database: Database) -> None:
        self._database = database

    @classmethod
    async def open(cls, path: Path) -> Admissions:
        """Opens the file at a path, a new one where there is none.

        Raises:
            StorageError: it can't be opened, or is another file.
        """
        with translated(str(path)), suppress(FileExistsError):
            await create_file(path)
        return cls(await Database.open(path, ADMISSIONS))

    async def offers(self) -> list[Offer]:
        """The invitations that have not been used."""
        return self._read(await self._database.read(SELECT_OFFERS), _offer)

    async def members(self) -> list[Member]:
        """The devices that have proved an invitation."""
        return self._read(await self._database.read(SELECT_MEMBERS), _member)

    def _read(self, rows: list[Row], read: Callable[[Row], T]) -> list[T]:
        try:
            return [read(row) for row in rows]
        except ValueError as error:
            what = "a row of it is not what was stored"
            raise CorruptJournalError(self._database.where, what) from error

    async def invite(self, offer: Offer) -> Offer:
        """Puts an invitation into the file, and gives it with its number."""
        row = (
            offer.game,
            offer.seat,
            offer.secret,
            offer.digits,
            offer.until_ms,
            offer.way,
            offer.is_confirmed,
        )
        await self._database.write(Statement(INSERT_OFFER, [row]))
        rows = await self._database.read(SELECT_OFFER, (offer.secret,))
        return _offer(rows[0])

    def keep(self, changes: Iterable[Change]) -> asyncio.Future[None]:
        """Queues what has changed; done when it is on the disk."""
        statements = [_statement(change) for change in changes]
        return self._database.write(*statements)

    async def __aenter__(self) -> Self:
        return self

    async def __aexit__(self, *error: object) -> None:
        await self.close()

    async def close(self) -> None:
        """Writes what waits, and closes the file."""
        await self._database.close()


def _statement(change: Change) -> Statement:
    match change:
        case Offer():
            row: Row = (
                change.digits,
                change.guesses,
                change.way,
                change.is_used,
                change.number,
            )
            return Statement(UPDATE_OFFER, [row])
        case Member():
            granted = change.granted
            row = (
                change.game,
                change.device,
                change.seat,
                change.rank,
                None if granted is None else granted.payload,
                None if granted is None else granted.signature,
                change.way,
                change.has_written,
            )
            return Statement(PUT_MEMBER, [row])


def _offer(row: Row) -> Offer:
    number, game, seat, secret, digits, until_ms, guesses, way, confirmed, used = row
    return Offer(
        number,
        game,
        None if seat is None else Seat(seat),
        secret,
        digits,
        until_ms,
        guesses,
        Way(way),
        bool(confirmed),
        bool(used),
    )


def _member(row: Row) -> Member:
    game, device, seat, rank, payload, signature, way, has_written = row
    return Member(
        game,
        DeviceId(device),
        None if seat is None else Seat(seat),
        Rank(rank),
        None if payload is None else Granted(payload, signature),
        Way(way),
        bool(has_written),
    )
