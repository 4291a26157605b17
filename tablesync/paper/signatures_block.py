"""The signatures on a score sheet: those given at the devices, or room for a pen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.chart.drawing import Anchor, Ink
from tablesync.core.acts import Seat, Signer
from tablesync.core.sign_off import sign_off_state
from tablesync.paper.cells import Block, Cell, Frame
from tablesync.paper.subject import capital
from tablesync.paper.typesetting import Style

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tablesync.core.sign_off import SignOffState
    from tablesync.paper.area import Area
    from tablesync.paper.subject import Subject

__all__ = ["SIGNATURES_HEIGHT", "signatures_block"]

TITLE_HEIGHT, ROW_HEIGHT, NOTE_HEIGHT = 3.0, 5.6, 3.6
LABEL_WIDTH, DEVICE_WIDTH = 12.0, 21.0
SIGNATURES_HEIGHT = TITLE_HEIGHT + ROW_HEIGHT * len(Signer) + NOTE_HEIGHT
TITLE = Style(5.5, ink=Ink.QUIET)
ROLE = Style(7)
NAME = Style(9, bold=True)
DEVICE = Style(5.5, anchor=Anchor.MIDDLE, ink=Ink.QUIET)


def signatures_block(subject: Subject, area: Area) -> Block:
    """A row for each who signs, and what is to be said of it."""
    state = _sign_off(subject)
    title, *rows, note = area.rows(
        [TITLE_HEIGHT, *([ROW_HEIGHT] * len(Signer)), NOTE_HEIGHT]
    )
    cells = [subject.cell(title, "signatures", TITLE)]
    for role, row in zip(Signer, rows, strict=True):
        cells += _signer(subject, row, role, state)
    cells.append(subject.cell(note, _note(subject, state), Style(6.5)))
    return Block("signatures", area, tuple(cells))


def _sign_off(subject: Subject) -> SignOffState:
    """How far the signing has come."""
    game = subject.game
    records = {Seat.BOOK: game.book.record}
    if game.seated_board is not None:
        records[Seat.CLOCK] = game.seated_board.record
    return sign_off_state(records)


def _signer(
    subject: Subject, row: Area, role: Signer, state: SignOffState
) -> Iterator[Cell]:
    label, line = row.columns([LABEL_WIDTH, row.width - LABEL_WIDTH])
    name, device = line.columns([line.width - DEVICE_WIDTH, DEVICE_WIDTH])
    yield subject.cell(label, capital(role), ROLE)
    given = [one for one in state.signatures if one.role is role]
    if not given:
        yield Cell(line, frame=Frame.PLAIN)
        return
    last = given[-1]
    where = f"{last.seat} seat, {last.entry.device.hex()[:8]}"
    yield subject.cell(name, last.name, NAME, Frame.PLAIN)
    yield subject.cell(device, where, DEVICE, Frame.PLAIN)


def _note(subject: Subject, state: SignOffState) -> str:
    teams = [
        subject.team(side) for side in dict.fromkeys(p.side for p in state.protests)
    ]
    protests = [f"{team} has protested" for team in teams]
    closed = "The record is closed" if state.is_closed else "The record is open"
    return subject.figure(". ".join([*protests, closed]))
