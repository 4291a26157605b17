"""A game sheet as exact bytes, whose hash is the game's id."""

from __future__ import annotations

from dataclasses import astuple
from hashlib import sha256

import msgpack

from tablesync.core.acts import Side
from tablesync.core.sheet import GameSheet, Official, Player, Team
from tablesync.core.tally import PerSide
from tablesync.errors import FieldError, SheetError
from tablesync.strict_msgpack import unpack

__all__ = ["MOST_BYTES", "game_id", "read_sheet", "write_sheet"]

SHEET_VERSION = 1
MOST_BYTES = 48 * 1024
"""Two rosters and a rule file fit, and a frame holds it."""


def write_sheet(sheet: GameSheet) -> bytes:
    """The sheet as bytes; write it once and keep the bytes.

    Raises:
        SheetError: it is too long, or some text can't be put as bytes.
    """
    try:
        packed: bytes = msgpack.packb([SHEET_VERSION, *astuple(sheet)])
    except UnicodeEncodeError as error:
        raise SheetError("the game sheet", "a text is damaged", "UTF-8") from error
    if len(packed) > MOST_BYTES:
        raise SheetError(
            "the game sheet", f"it takes {len(packed)} bytes", f"at most {MOST_BYTES}"
        )
    return packed


def game_id(sheet: bytes) -> bytes:
    """The id of the game with these sheet bytes, 32 bytes."""
    return sha256(b"tablesync sheet\x00" + sheet).digest()


def read_sheet(sheet: bytes) -> GameSheet:
    """The sheet with these bytes.

    Raises:
        SheetError: they are no sheet of this version.
    """
    if len(sheet) > MOST_BYTES:
        raise SheetError(
            "the game sheet", f"it takes {len(sheet)} bytes", f"at most {MOST_BYTES}"
        )
    try:
        return _sheet(unpack(sheet, levels=5))
    except (ValueError, FieldError) as error:
        raise SheetError(
            "the game sheet", "its bytes can't be read", f"version {SHEET_VERSION}"
        ) from error


def _sheet(value: object) -> GameSheet:
    match value:
        case [
            int(version),
            str(title),
            str(rules),
            str(rule_text),
            [home, away],
            str(court),
            str(date),
            str(venue),
            list(officials),
            str(mark),
            str(left),
        ] if version == SHEET_VERSION and version is not True:
            return GameSheet(
                title,
                rules,
                rule_text,
                PerSide(_team(home), _team(away)),
                court,
                date,
                venue,
                tuple(map(_official, officials)),
                mark,
                Side(left),
            )
        case _:
            raise ValueError


def _team(value: object) -> Team:
    match value:
        case [str(name), str(colour), str(coach), list(players)]:
            return Team(name, colour, coach, tuple(map(_player, players)))
        case _:
            raise ValueError


def _player(value: object) -> Player:
    match value:
        case [str(number), str(name), bool(starter)]:
            return Player(number, name, starter)
        case _:
            raise ValueError


def _official(value: object) -> Official:
    match value:
        case [str(role), str(name)]:
            return Official(role, name)
        case _:
            raise ValueError
