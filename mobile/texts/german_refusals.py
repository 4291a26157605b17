"""Why a device does not get in, in German words."""

from __future__ import annotations

from tablesync.errors import (
    BadInputError,
    LockedError,
    NotInvitedError,
    RefusedError,
    TableSyncError,
    UnconfirmedError,
    UnknownGameError,
    UnreachableError,
    WrongCertificateError,
    WrongCodeError,
)

__all__ = ["CONFIRMING", "refusal"]

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
