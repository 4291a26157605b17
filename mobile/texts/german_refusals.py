"""Why a device does not get in, or can't keep what is entered, in German words."""

from __future__ import annotations

import errno
import os

from tablesync.errors import (
    BadInputError,
    EntryError,
    LockedError,
    MissingEntriesError,
    NotInvitedError,
    RefusedError,
    StorageError,
    TableSyncError,
    UnconfirmedError,
    UnknownGameError,
    UnreachableError,
    WrongCertificateError,
    WrongCodeError,
)

__all__ = ["CONFIRMING", "refusal", "unkept", "unread"]

CONFIRMING = (
    "Der Platz hat schon ein Gerät: ein anderer Platz oder die Spielleitung muss "
    "dieses zulassen."
)
_WRONG_CODE = "Der Code stimmt nicht."
_CODES = {
    WrongCodeError.code: _WRONG_CODE,
    LockedError.code: "Zu oft ein falscher Code: das Relais muss neu einladen.",
    NotInvitedError.code: "Diese Einladung gilt nicht, nicht mehr oder ist verbraucht.",
    UnconfirmedError.code: CONFIRMING,
    UnknownGameError.code: "Das Relais kennt dieses Spiel nicht.",
}

_FULL = "der Speicher ist voll"
_DISK = {
    "database or disk is full": _FULL,
    os.strerror(errno.ENOSPC): _FULL,
    "disk I/O error": "der Datenträger meldet einen Fehler",
    os.strerror(errno.EIO): "der Datenträger meldet einen Fehler",
    "attempt to write a readonly database": "die Datei ist schreibgeschützt",
    "another program has it open": "ein anderes Programm hat die Datei offen",
    "it is closed": "die Datei ist schon geschlossen",
}
"""What SQLite and the system say most; anything else is told as they say it."""


def refusal(error: TableSyncError) -> str:
    """The sentence for it; what the program itself says follows where that helps."""
    match error:
        case WrongCertificateError():
            return "Dort antwortet ein anderes Relais: das Zertifikat ist ein fremdes."
        case UnreachableError():
            return "Dort antwortet kein Relais, oder die Verbindung ist abgerissen."
        case WrongCodeError():
            return _WRONG_CODE
        case RefusedError(code=code) if code in _CODES:
            return _CODES[code]
        case RefusedError(sentence=sentence):
            return f"Das Relais lehnt ab: {sentence}"
        case BadInputError(where=where, what=what):
            return f"{where} lässt sich nicht verwenden: {what}"
        case _:
            return f"Das ging nicht: {error}"


def unkept(error: TableSyncError) -> str:
    """Why what was entered is not on record."""
    match error:
        case StorageError(where=where, what=what):
            why = _DISK.get(what, f"„{what}“")
            return f"Das Gerät kann nicht auf {where} schreiben: {why}."
        case MissingEntriesError():
            return "Dem Gerät fehlen eigene Einträge; das Relais muss sie erst bringen."
        case EntryError(what=what):
            return f"Das Gerät nimmt den Eintrag nicht an: „{what}“."
        case _:
            return refusal(error)


def unread(error: TableSyncError) -> str:
    """What of a journal could not be read."""
    match error:
        case StorageError(where=where, what=what):
            return f"Nicht alles in {where} lässt sich lesen: „{what}“."
        case _:
            return str(error)
