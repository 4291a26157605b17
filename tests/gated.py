"""The record of a short game whose devices came in through a gate, as a relay keeps it.

The book's first device is replaced by another, which the timer confirms. A checkpoint
lies amid the entries and one over all of them, each countersigned by those who could.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from tablesync.admission.grants import Grant, Way, sign_grant
from tablesync.checkpoint import countersign, sign_checkpoint
from tablesync.core.acts import (
    Basket,
    ClockStart,
    ClockStop,
    Points,
    Seat,
    SeatGiven,
    SeatTaken,
    Side,
)
from tablesync.core.clock_sample import Sample
from tablesync.core.history import History
from tablesync.core.merkle import MerkleTree
from tablesync.record.admissions import admitted_by
from tablesync.record.record import Countersigned, Record, Software
from tablesync.scenario import read_scenario
from tablesync.seal import DeviceKey, Pen
from tablesync.sheet_bytes import game_id, write_sheet
from tablesync.statement import Statement, write_statement
from tablesync.sync.messages import Sealed

if TYPE_CHECKING:
    from tablesync.core.acts import Act
    from tablesync.core.entries import Entry

__all__ = ["BOOK", "CLOCK", "GATE", "SECOND_BOOK", "SHEET", "Gated", "gated_game"]

GATE = DeviceKey(b"g" * 32)
BOOK, SECOND_BOOK, CLOCK = (DeviceKey(one * 32) for one in (b"1", b"2", b"3"))
SHEET = read_scenario(Path("scenarios/clean-quarter.jsonl")).sheet


@dataclass
class Gated:
    """The game as it is written: every entry knows of all before it."""

    sheet: bytes = field(default_factory=lambda: write_sheet(SHEET))
    checkpoints: list[Countersigned] = field(default_factory=list)
    _pens: dict[DeviceKey, Pen] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.game = game_id(self.sheet)
        self.history = History(self.game)
        self.entries: list[Entry] = []

    def enter(self, key: DeviceKey, seat: Seat, act: Act) -> Entry:
        """A device puts an act on record, a second after the one before."""
        pen = self._pens.setdefault(key, Pen(key, seat, self.game))
        seen = self.history.have()
        entry = pen.write(act, seen, len(self.entries) * 1_000)
        self.history.add(entry)
        self.entries.append(entry)
        return entry

    def take_seat(self, grant: Grant) -> SeatTaken:
        """What a device enters that the gate has let in."""
        granted = sign_grant(GATE, grant)
        return SeatTaken(granted.payload, granted.signature)

    def check_up(self, *devices: DeviceKey) -> None:
        """The relay signs what there is, and these devices countersign."""
        head = MerkleTree(entry.digest for entry in self.entries).head()
        at_ms = len(self.entries) * 1_000
        signed = sign_checkpoint(GATE, self.game, head, at_ms, "tablesync 0")
        statement = write_statement(
            Statement("tablesync 0", Sample(at_ms, at_ms + 4, at_ms + 4, at_ms + 6))
        )
        by = sorted((key.device, key) for key in devices)
        counters = tuple(countersign(key, signed, statement) for _, key in by)
        self.checkpoints.append(Countersigned(signed, counters))

    def record(self) -> Record:
        """What an export holds."""
        return Record(
            software=(Software("tablesync", "0"),),
            sheet=self.sheet,
            admitted=tuple(
                sorted(
                    admitted_by(self.entries, self.game, [GATE.device]),
                    key=lambda one: (one.device, one.seat),
                )
            ),
            entries=tuple(Sealed(e.payload, e.signature) for e in self.entries),
            checkpoints=tuple(self.checkpoints),
        )


def gated_game() -> Gated:
    """The whole short game."""
    game = Gated()

    def let_in(key: DeviceKey, seat: Seat, way: Way = Way.INVITATION) -> Grant:
        return Grant(game.game, key.device, seat, way, len(game.entries) * 1_000)

    game.enter(BOOK, Seat.BOOK, game.take_seat(let_in(BOOK, Seat.BOOK)))
    short_code = let_in(CLOCK, Seat.CLOCK, Way.SHORT_CODE)
    game.enter(CLOCK, Seat.CLOCK, game.take_seat(short_code))
    game.enter(CLOCK, Seat.CLOCK, ClockStart())
    game.enter(BOOK, Seat.BOOK, Basket(Side.HOME, "4", 2))
    game.enter(CLOCK, Seat.CLOCK, Points(Side.HOME, 2))
    game.check_up(BOOK, CLOCK)
    game.enter(CLOCK, Seat.CLOCK, SeatGiven(Seat.BOOK, SECOND_BOOK.device))
    replacing = Grant(
        game.game,
        SECOND_BOOK.device,
        Seat.BOOK,
        Way.INVITATION,
        6_000,
        replaces=BOOK.device,
        confirmed_by=CLOCK.device,
    )
    game.enter(SECOND_BOOK, Seat.BOOK, game.take_seat(replacing))
    game.enter(SECOND_BOOK, Seat.BOOK, Basket(Side.AWAY, "5", 3))
    game.enter(CLOCK, Seat.CLOCK, ClockStop())
    game.check_up(SECOND_BOOK, CLOCK)
    return game
