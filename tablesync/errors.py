"""Every exception that tablesync raises.

::

    TableSyncError
    ├── FieldError             a field is wrong; who knows the place says where
    ├── BadInputError          a file or an argument from outside is wrong
    │   ├── ScenarioError
    │   ├── SheetError
    │   ├── RuleFileError
    │   └── RecordFileError
    ├── EntryError             an entry can't be taken
    │   ├── MalformedEntryError
    │   ├── WrongSeatError
    │   ├── BrokenChainError
    │   ├── BadSignatureError
    │   ├── MissingEntriesError
    │   └── NotAdmittedError
    ├── CheckpointError        a checkpoint can't be believed
    ├── ProtocolError          the other end broke the protocol
    │   ├── MalformedFrameError
    │   ├── UnsupportedVersionError
    │   ├── UnexpectedMessageError
    │   ├── UnknownGameError
    │   ├── SupersededError
    │   ├── SilenceError
    │   ├── TooFastError
    │   └── AdmissionError     a device is not let in
    │       ├── ForgedError
    │       ├── NotInvitedError
    │       ├── WrongCodeError
    │       ├── LockedError
    │       └── UnconfirmedError
    ├── RefusedError           the other end refused us, with a code and a sentence
    ├── StorageError           the disk or the database failed
    │   ├── SchemaVersionError
    │   └── CorruptJournalError
    │       └── UnbegunJournalError
    ├── UnreachableError       nobody answers at that address
    │   └── WrongCertificateError
    └── BrokenInvariantError   a simulated game shows what must never be

Each builds one sentence: what, where, what was expected.
"""

from __future__ import annotations

__all__ = [
    "AdmissionError",
    "BadInputError",
    "BadSignatureError",
    "BrokenChainError",
    "BrokenInvariantError",
    "CheckpointError",
    "CorruptJournalError",
    "EntryError",
    "FieldError",
    "ForgedError",
    "LockedError",
    "MalformedEntryError",
    "MalformedFrameError",
    "MissingEntriesError",
    "NotAdmittedError",
    "NotInvitedError",
    "ProtocolError",
    "RecordFileError",
    "RefusedError",
    "RuleFileError",
    "ScenarioError",
    "SchemaVersionError",
    "SheetError",
    "SilenceError",
    "StorageError",
    "SupersededError",
    "TableSyncError",
    "TooFastError",
    "UnbegunJournalError",
    "UnconfirmedError",
    "UnexpectedMessageError",
    "UnknownGameError",
    "UnreachableError",
    "UnsupportedVersionError",
    "WrongCertificateError",
    "WrongCodeError",
    "WrongSeatError",
]


class TableSyncError(Exception):
    """Whatever goes wrong in tablesync and has a sentence for it."""


class FieldError(TableSyncError):
    """One field is not what it should be; whoever knows the place says where."""

    def __init__(self, what: str, expected: str) -> None:
        super().__init__(what, expected)
        self.what = what
        self.expected = expected

    def __str__(self) -> str:
        return f"{self.what}; expected {self.expected}"


class BadInputError(TableSyncError):
    """A file or an argument from outside is wrong."""

    def __init__(self, where: str, what: str, expected: str) -> None:
        super().__init__(where, what, expected)
        self.where = where
        """The file and line, or the name of the argument."""
        self.what = what
        self.expected = expected

    def __str__(self) -> str:
        return f"{self.where}: {self.what}; expected {self.expected}"


class ScenarioError(BadInputError):
    """A scenario file breaks its format."""


class SheetError(BadInputError):
    """A roster or game-sheet file breaks its format."""


class RuleFileError(BadInputError):
    """A rule file breaks its format, or no rule set has that name."""


class RecordFileError(BadInputError):
    """A record file breaks its format, or does not hold together."""


class EntryError(TableSyncError):
    """An entry can't be taken."""

    code = "entry"
    """The refusal code that goes out with the sentence."""

    def __init__(self, entry: str, what: str) -> None:
        super().__init__(entry, what)
        self.entry = entry
        """Which entry, as `device prefix:number`, or how far it could be read."""
        self.what = what

    def __str__(self) -> str:
        return f"entry {self.entry}: {self.what}"


class MalformedEntryError(EntryError):
    """The bytes of an entry can't be read."""

    code = "malformed_entry"


class WrongSeatError(EntryError):
    """A seat entered an act that is not its own."""

    code = "wrong_seat"


class BrokenChainError(EntryError):
    """An entry does not follow from the one of its device before it."""

    code = "broken_chain"


class BadSignatureError(EntryError):
    """The signature is not that of the entry's device over the entry's bytes."""

    code = "bad_signature"


class MissingEntriesError(EntryError):
    """It can't be written, since its device lacks entries that it wrote before."""

    code = "missing_entries"


class NotAdmittedError(EntryError):
    """The relay has not admitted the entry's device to the seat."""

    code = "not_admitted"


class CheckpointError(TableSyncError):
    """A checkpoint, or a countersignature of one, can't be believed."""

    def __init__(self, checkpoint: str, what: str) -> None:
        super().__init__(checkpoint, what)
        self.checkpoint = checkpoint
        """Which, as "over N entries", or how far it could be read."""
        self.what = what

    def __str__(self) -> str:
        return f"checkpoint {self.checkpoint}: {self.what}"


class ProtocolError(TableSyncError):
    """The other end broke the protocol."""

    code = "protocol"
    """The refusal code that goes out with the sentence."""

    def __init__(self, what: str) -> None:
        super().__init__(what)
        self.what = what

    def __str__(self) -> str:
        return self.what


class MalformedFrameError(ProtocolError):
    """A frame that is no message: too large, not msgpack, wrong shape or type."""

    code = "malformed"


class UnsupportedVersionError(ProtocolError):
    """The other end speaks a version of the protocol that this one does not."""

    code = "version"


class UnexpectedMessageError(ProtocolError):
    """A message that may not come at this point."""

    code = "unexpected"


class UnknownGameError(ProtocolError):
    """A game whose sheet neither end has."""

    code = "unknown_game"


class SupersededError(ProtocolError):
    """The same device has connected anew, so this connection is over."""

    code = "superseded"


class SilenceError(ProtocolError):
    """The other end has said nothing for too long."""

    code = "silence"


class TooFastError(ProtocolError):
    """The other end has sent more than anybody can enter."""

    code = "too_fast"


class AdmissionError(ProtocolError):
    """A device is not let in."""

    code = "admission"


class ForgedError(AdmissionError):
    """A proof or signature is not that of who it is said to be of, here and now."""

    code = "forged"


class NotInvitedError(AdmissionError):
    """The device is not known, and its secret opens nothing."""

    code = "not_invited"


class WrongCodeError(AdmissionError):
    """The short code is not the one that was given out."""

    code = "wrong_code"


class LockedError(AdmissionError):
    """The short code has been guessed at too often."""

    code = "locked"


class UnconfirmedError(AdmissionError):
    """The seat has a device, and nobody has confirmed that this one replaces it."""

    code = "unconfirmed"


class RefusedError(TableSyncError):
    """The other end refused us."""

    def __init__(self, code: str, sentence: str) -> None:
        super().__init__(code, sentence)
        self.code = code
        self.sentence = sentence

    def __str__(self) -> str:
        return f"the relay refused ({self.code}): {self.sentence}"


class StorageError(TableSyncError):
    """The disk or the database failed."""

    code = "storage"
    """The refusal code that goes out with the sentence."""

    def __init__(self, where: str, what: str) -> None:
        super().__init__(where, what)
        self.where = where
        self.what = what

    def __str__(self) -> str:
        return f"{self.where}: {self.what}"


class SchemaVersionError(StorageError):
    """A database of a version that this program does not read."""


class CorruptJournalError(StorageError):
    """A stored entry does not pass its own check."""


class UnbegunJournalError(CorruptJournalError):
    """The program ended while it made the journal: nothing is in it yet."""


class UnreachableError(TableSyncError):
    """Nobody answers at that address."""

    def __init__(self, address: str, what: str) -> None:
        super().__init__(address, what)
        self.address = address
        self.what = what

    def __str__(self) -> str:
        return f"no relay answers at {self.address}: {self.what}"


class WrongCertificateError(UnreachableError):
    """Another certificate is shown there than the relay's."""


class BrokenInvariantError(TableSyncError):
    """A simulated game shows what must never be."""

    def __init__(self, invariant: str, what: str) -> None:
        super().__init__(invariant, what)
        self.invariant = invariant
        """What must always hold."""
        self.what = what

    def __str__(self) -> str:
        return f"{self.invariant}: {self.what}"
