"""The games of a store: what each is, out as a record file, and in from one."""

from __future__ import annotations

import asyncio
from dataclasses import replace
from typing import TYPE_CHECKING

from tablesync import __version__
from tablesync.core.acts import Seat
from tablesync.core.game import Game
from tablesync.core.sign_off import sign_off_state
from tablesync.errors import BadInputError, RecordFileError, StorageError
from tablesync.frozen import dataclass
from tablesync.record.admissions import admitted_by
from tablesync.record.file import evidence_of, with_evidence, write_record
from tablesync.record.record import Record, Software
from tablesync.sheet_bytes import read_sheet
from tablesync.sheet_rules import rules_of
from tablesync.store import Store
from tablesync.sync.intake import Archive
from tablesync.sync.messages import Sealed

if TYPE_CHECKING:
    from pathlib import Path

    from tablesync.core.acts import Signer
    from tablesync.core.entries import Entry
    from tablesync.core.sheet import GameSheet
    from tablesync.core.tally import PerSide
    from tablesync.record.verification import OpenedRecord

__all__ = [
    "StoredGame",
    "export_game",
    "game_named",
    "import_record",
    "opened_store",
    "stored_game",
    "stored_games",
]


@dataclass(frozen=True, slots=True)
class StoredGame:
    """One game of a store in short."""

    game: bytes
    sheet: GameSheet
    entries: int
    book: PerSide[int]
    """The score by the book."""
    board: PerSide[int]
    unsigned: tuple[Signer, ...]
    """Who has still to sign."""
    is_closed: bool
    """Whether the referee has signed, so that nothing more counts."""

    @property
    def name(self) -> str:
        """The start of its id, by which commands take it."""
        return self.game.hex()[:8]


class _Taken(Archive):
    """Keeps the entries in the order in which they were stored."""

    def __init__(self, game: bytes) -> None:
        super().__init__(game)
        self.entries: list[Entry] = []

    def receive(self, entry: Entry) -> tuple[Entry, ...]:
        taken = super().receive(entry)
        self.entries += taken
        return taken


async def opened_store(path: Path) -> Store:
    """The store at a path, which must be there.

    Raises:
        StorageError: there is none, or it can't be opened.
    """
    if not await asyncio.to_thread(path.exists):
        raise StorageError(str(path), "there is no such store")
    return await Store.open(path)


async def game_named(store: Store, name: str) -> bytes:
    """The id of the one game whose id begins with these hexadecimal digits.

    Raises:
        BadInputError: there is none, or more than one.
    """
    games = await store.games()
    found = [game for game in games if game.hex().startswith(name.lower())]
    if len(found) != 1:
        what = f"{len(found)} games are called {name!r}"
        known = ", ".join(game.hex()[:8] for game in sorted(games)) or "no game at all"
        raise BadInputError("GAME", what, f"the start of one of {known}")
    return found[0]


async def stored_games(store: Store) -> list[StoredGame]:
    """Every game of the store, by date and court."""
    games = [await stored_game(store, game) for game in await store.games()]
    return sorted(
        games,
        key=lambda one: (one.sheet.date, one.sheet.court, one.sheet.title, one.game),
    )


async def stored_game(store: Store, game: bytes) -> StoredGame:
    """One game of the store.

    Raises:
        StorageError: it can't be read.
    """
    sheet = read_sheet(await _sheet(store, game))
    holder = Game(sheet, rules_of(sheet), game)
    await store.read_into(game, holder)
    present = {entry.seat for entry in holder.history}
    records = {Seat.BOOK: holder.book.record, Seat.CLOCK: holder.board.record}
    state = sign_off_state({s: r for s, r in records.items() if s in present})
    return StoredGame(
        game,
        sheet,
        len(holder.history),
        holder.tally(Seat.BOOK).score,
        holder.tally(Seat.CLOCK).score,
        state.missing,
        state.is_closed,
    )


async def _sheet(store: Store, game: bytes) -> bytes:
    sheet = await store.sheet(game)
    if sheet is None:
        raise StorageError(store.where, f"has no sheet of game {game.hex()[:8]}")
    return sheet


async def export_game(store: Store, game: bytes) -> bytes:
    """A game as a record file.

    Raises:
        StorageError: it can't be read.
    """
    taken = _Taken(game)
    await store.read_into(game, taken)
    bare = Record(
        software=(Software("tablesync", __version__),),
        sheet=await _sheet(store, game),
        admitted=(),
        entries=tuple(Sealed(one.payload, one.signature) for one in taken.entries),
    )
    record = with_evidence(bare, await store.evidence(game))
    admitted = admitted_by(taken.entries, game, record.relays)
    return write_record(replace(record, admitted=admitted))


async def import_record(store: Store, opened: OpenedRecord) -> int:
    """Takes the game of a record file into a store; tells how many entries are new.

    The entries keep the order of the file, for which its checkpoints were signed.

    Raises:
        RecordFileError: the store has the game's entries in another order already.
        StorageError: it can't be written.
    """
    taken = _Taken(opened.game)
    await store.read_into(opened.game, taken)
    common = min(len(taken.entries), len(opened.entries))
    if list(opened.entries[:common]) != taken.entries[:common]:
        raise RecordFileError(
            f"game {opened.game.hex()[:8]}",
            "the store has its entries in another order",
            "a store without this game, or with the beginning of the file",
        )
    new = opened.entries[common:]
    store.keep_sheet(opened.game, opened.record.sheet)
    store.keep_evidence(opened.game, evidence_of(opened.record))
    await store.append(opened.game, new)
    return len(new)
