"""`tablesync export`, `import` and `games` over a store."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tablesync.core.acts import Note, Seat, Signer, SignOff
from tablesync.record.file import write_record
from tablesync.record.verification import open_record
from tablesync.scenario import read_scenario
from tests.commands.running import run
from tests.entering import entered
from tests.recording import record_of, recorded
from tests.telling import told_entries

MISSED = read_scenario(Path("scenarios/basket-missed-on-the-board.jsonl"))
MADE = entered(MISSED)
NAME = MADE.game.hex()[:8]
DATA = write_record(recorded(MISSED, MADE, sizes=(len(MADE.entries),)))
SIGNED = write_record(
    record_of(
        told_entries(
            (1_000, Seat.BOOK, Note("here")),
            (2_000, Seat.BOOK, SignOff(Signer.SCORER, "I. Wetherby")),
            (3_000, Seat.BOOK, SignOff(Signer.REFEREE, "P. Calder")),
        )
    )
)
SIGNED_NAME = open_record(SIGNED).game.hex()[:8]


@pytest.fixture
def store(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Path:
    path = tmp_path / "store.db"
    for name, data in (("one", DATA), ("two", SIGNED)):
        file = tmp_path / name
        file.write_bytes(data)
        assert run(capsys, "import", file, path).status == 0
    return path


def names(capsys: pytest.CaptureFixture[str], store: Path) -> set[str]:
    return {line[:8] for line in run(capsys, "games", store).out.splitlines()}


def test_an_import_says_how_much_is_new(
    tmp_path: Path, store: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    ran = run(capsys, "import", tmp_path / "one", store)
    assert (ran.status, ran.out) == (0, "")
    count = len(MADE.entries)
    assert ran.err == f"Game {NAME} is in {store}: 0 of {count} entries are new.\n"


def test_a_changed_file_is_not_imported(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "bad"
    file.write_bytes(DATA.replace(b"basket", b"gasket", 1))
    ran = run(capsys, "import", file, tmp_path / "new.db")
    assert ran.status == 2
    assert "is not as it was written" in ran.err
    assert not (tmp_path / "new.db").exists()


def test_an_export_can_be_verified_and_holds_all(
    tmp_path: Path, store: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "out.record"
    assert run(capsys, "export", store, NAME, out).status == 0
    assert run(capsys, "verify", out).status == 0
    opened = open_record(out.read_bytes())
    assert opened.entries == MADE.entries
    assert len(opened.record.checkpoints) == 1
    again = run(capsys, "export", store, NAME, out)
    assert again.status == 2
    assert "File exists" in again.err
    none = run(capsys, "export", store, "ffff", tmp_path / "x")
    assert none.status == 2
    assert "0 games are called 'ffff'" in none.err
    assert not (tmp_path / "x").exists()


def test_the_games_are_listed_as_lines_and_as_json(
    store: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    lines = run(capsys, "games", store).out.splitlines()
    assert f"{NAME}  2026-11-21 court 2  Harbour Mills 7:10 Kestrel Park" in lines[1]
    assert lines[1].endswith("unsigned by scorer, timer, referee")
    assert lines[0].startswith(SIGNED_NAME)
    assert lines[0].endswith("  signed")
    listed = run(capsys, "games", store, "list", "--json").out.splitlines()
    values = [json.loads(line) for line in listed]
    assert [one["closed"] for one in values] == [True, False]
    assert values[1]["game"] == MADE.game.hex()
    assert values[1]["book"] == {"home": 7, "away": 10}


def test_an_unsigned_game_is_not_deleted_without_being_told_so(
    store: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for arguments in (["delete", NAME], ["archive", NAME, str(tmp_path / "out")]):
        ran = run(capsys, "games", store, *arguments)
        assert (ran.status, ran.out) == (2, "")
        assert "is not signed by the referee and may still be running" in ran.err
    assert names(capsys, store) == {NAME, SIGNED_NAME}
    assert not (tmp_path / "out").exists()
    assert run(capsys, "games", store, "delete", NAME, "--unsigned").status == 0
    assert names(capsys, store) == {SIGNED_NAME}


def test_a_signed_game_is_deleted(
    store: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    ran = run(capsys, "games", store, "delete", SIGNED_NAME)
    assert ran.status == 0
    assert ran.err == f"Game {SIGNED_NAME} with 3 entries is deleted.\n"
    assert names(capsys, store) == {NAME}


def test_an_archived_game_is_in_its_file_and_no_longer_in_the_store(
    store: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "out.record"
    assert run(capsys, "games", store, "archive", NAME, out, "--unsigned").status == 0
    assert open_record(out.read_bytes()).entries == MADE.entries
    assert names(capsys, store) == {SIGNED_NAME}
    assert run(capsys, "import", out, store).status == 0
    assert names(capsys, store) == {NAME, SIGNED_NAME}


def test_a_game_is_not_deleted_where_its_file_can_not_be_written(
    store: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "there"
    out.write_bytes(b"something else")
    ran = run(capsys, "games", store, "archive", SIGNED_NAME, out)
    assert ran.status == 2
    assert out.read_bytes() == b"something else"
    assert names(capsys, store) == {NAME, SIGNED_NAME}


@pytest.mark.parametrize(
    "arguments", [["delete"], ["archive", NAME], ["list", NAME], ["delete", NAME, "x"]]
)
def test_too_little_or_too_much_is_refused(
    store: Path, capsys: pytest.CaptureFixture[str], arguments: list[str]
) -> None:
    ran = run(capsys, "games", store, *arguments)
    assert ran.status == 2
    assert "was given too little or too much" in ran.err


def test_a_store_that_is_not_there_is_said_so(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    ran = run(capsys, "games", tmp_path / "none.db")
    assert ran.status == 2
    assert "there is no such store" in ran.err
