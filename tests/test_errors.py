from __future__ import annotations

import re
from inspect import getmembers, isclass

import pytest

from tablesync import errors
from tablesync.errors import (
    BadInputError,
    BrokenChainError,
    BrokenInvariantError,
    CheckpointError,
    EntryError,
    FieldError,
    MalformedFrameError,
    ProtocolError,
    RefusedError,
    RuleFileError,
    ScenarioError,
    StorageError,
    TableSyncError,
    UnexpectedMessageError,
    UnreachableError,
    UnsupportedVersionError,
)

CLASSES = {
    name: kind
    for name, kind in getmembers(errors, isclass)
    if issubclass(kind, Exception) and kind.__module__ == errors.__name__
}
# One sentence for each class that builds its own; the others say it in the same way.
SENTENCES: dict[TableSyncError, str] = {
    FieldError("points of basket is 7", "2 or 3"): (
        "points of basket is 7; expected 2 or 3"
    ),
    ScenarioError("cut.jsonl:7", "the line is empty", "one JSON object"): (
        "cut.jsonl:7: the line is empty; expected one JSON object"
    ),
    RuleFileError("league.toml", "it has no periods", "periods"): (
        "league.toml: it has no periods; expected periods"
    ),
    BrokenChainError("6b6b6b6b:3", "links to entry 6b6b6b6b:1"): (
        "entry 6b6b6b6b:3: links to entry 6b6b6b6b:1"
    ),
    CheckpointError("over 12 entries", "its signature is not valid"): (
        "checkpoint over 12 entries: its signature is not valid"
    ),
    MalformedFrameError("the frame is no msgpack"): "the frame is no msgpack",
    RefusedError("version", "version 2 is not spoken here"): (
        "the relay refused (version): version 2 is not spoken here"
    ),
    StorageError("table.db", "the disk is full"): "table.db: the disk is full",
    BrokenInvariantError("nothing piles up", "400 frames in peace"): (
        "nothing piles up: 400 frames in peace"
    ),
    UnreachableError("127.0.0.1:7700", "connection refused"): (
        "no relay answers at 127.0.0.1:7700: connection refused"
    ),
}


@pytest.mark.parametrize(
    ("error", "sentence"),
    list(SENTENCES.items()),
    ids=lambda part: type(part).__name__ if isinstance(part, Exception) else "",
)
def test_an_error_says_what_and_where_in_one_sentence(
    error: TableSyncError, sentence: str
) -> None:
    assert str(error) == sentence


def test_every_class_that_builds_a_sentence_has_it_pinned() -> None:
    builders = {kind for kind in CLASSES.values() if "__str__" in vars(kind)}
    pinned = {kind for error in SENTENCES for kind in type(error).__mro__}
    assert builders <= pinned


def test_an_error_keeps_what_it_was_made_of() -> None:
    bad_input = BadInputError("cut.jsonl:7", "the line is empty", "one JSON object")
    assert (bad_input.where, bad_input.what, bad_input.expected) == bad_input.args
    entry = EntryError("6b6b6b6b:3", "is not an entry of this game")
    assert (entry.entry, entry.what) == entry.args
    refused = RefusedError("version", "version 2 is not spoken here")
    assert (refused.code, refused.sentence) == refused.args


def test_every_breach_of_the_protocol_has_a_code_of_its_own() -> None:
    breaches = [kind for kind in CLASSES.values() if issubclass(kind, ProtocolError)]
    codes = [kind.code for kind in breaches]
    assert len(set(codes)) == len(codes)
    assert UnsupportedVersionError.code == "version"
    assert MalformedFrameError.code == "malformed"
    assert UnexpectedMessageError.code == "unexpected"


def test_everything_raised_here_is_exported() -> None:
    assert set(errors.__all__) == set(CLASSES)
    assert errors.__all__ == sorted(errors.__all__)


def test_the_docstring_draws_the_tree_that_there_is() -> None:
    drawn: dict[str, str] = {}
    above: list[str] = []
    for line in (errors.__doc__ or "").splitlines():
        found = re.match(r"    ((?:│   |    )*)(?:[├└]── )?(\w+Error)\b", line)
        if found is None:
            continue
        depth = len(found[1]) // 4 + ("── " in line)
        del above[depth:]
        drawn[found[2]] = above[-1] if above else "Exception"
        above.append(found[2])
    real = {name: kind.__bases__[0].__name__ for name, kind in CLASSES.items()}
    assert drawn == real
