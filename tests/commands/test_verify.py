"""`tablesync verify` says whether a file is sound, and exits with 1 if not."""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from tablesync.core.acts import Seat
from tablesync.core.sheet import GameSheet
from tablesync.final import final_of
from tablesync.record.file import write_record
from tablesync.record.verification import open_record
from tablesync.scenario import read_scenario
from tablesync.sheet_bytes import write_sheet
from tests.commands.running import run
from tests.entering import entered
from tests.recording import recorded

CANCEL = read_scenario(Path("scenarios/slips-that-cancel.jsonl"))
MADE = entered(CANCEL)
DATA = write_record(recorded(CANCEL, MADE, sizes=(10, len(MADE.entries))))


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "game.record"
    path.write_bytes(DATA)
    return path


def test_a_sound_file_is_told_of_in_plain_words(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    ran = run(capsys, "verify", file)
    assert (ran.status, ran.err) == (0, "")
    assert ran.out.startswith("Sound: no fault was found.\n")
    book, board = (
        open_record(DATA).concluded().tally(seat).score
        for seat in (Seat.BOOK, Seat.CLOCK)
    )
    figures = f"book {book.home}:{book.away}, board {board.home}:{board.away}"
    assert f"Score         {figures}\n" in ran.out
    assert f"Fingerprint   {DATA[-32:].hex()}\n" in ran.out
    known, unknown = ran.out.split("What it does not show\n")
    assert f"the first {len(MADE.entries)} of these {len(MADE.entries)} " in known
    assert "who held it is not shown" in unknown
    assert "No checkpoint covers" not in unknown
    assert unknown.endswith("The referees' and the league's rulings prevail.\n")


def test_without_a_checkpoint_the_end_is_said_to_be_open(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file.write_bytes(write_record(recorded(CANCEL, MADE)))
    unknown = run(capsys, "verify", file).out.split("What it does not show\n")[1]
    assert "No checkpoint covers any entry" in unknown
    assert "No device countersigned" in unknown


def test_the_first_bad_entry_is_named_and_the_status_is_one(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    changed = bytearray(DATA)
    changed[DATA.index(MADE.entries[8].payload)] ^= 1
    file.write_bytes(changed)
    ran = run(capsys, "verify", file)
    assert ran.status == 1
    assert ran.out == (
        "Not sound. The first fault is at entry 9.\n\n"
        "  ! entry 9: is not as it was written\n"
    )


def test_many_faults_are_counted_and_not_all_told(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file.write_bytes(write_record(replace(recorded(CANCEL, MADE), admitted=())))
    ran = run(capsys, "verify", file)
    assert ran.status == 1
    assert ran.out.endswith(f"  ! and {len(MADE.entries) - 12} more\n")


def test_the_verdict_can_be_had_as_json(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sound = json.loads(run(capsys, "verify", file, "--json").out)
    assert sound["sound"] is True
    assert sound["final"] == final_of(open_record(DATA).concluded())
    file.write_bytes(DATA[:-1])
    ran = run(capsys, "verify", file, "--json")
    assert ran.status == 1
    assert json.loads(ran.out) == {
        "sound": False,
        "faults": [
            {
                "where": f"the end after entry {len(MADE.entries)} "
                f"({MADE.entries[-1].id})",
                "what": "is not all there",
            }
        ],
    }


def test_rules_that_are_not_known_here_leave_the_entries_sound(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    teams = CANCEL.sheet.teams
    sheet = write_sheet(GameSheet("a game", "village-1921", "", teams))
    record = replace(recorded(CANCEL, MADE), sheet=sheet, admitted=(), entries=())
    file.write_bytes(write_record(record))
    ran = run(capsys, "verify", file)
    assert ran.status == 0
    assert "Score         unknown rules 'village-1921'" in ran.out
    as_json = run(capsys, "verify", file, "--json")
    assert json.loads(as_json.out)["final"] is None


def test_a_file_that_is_not_there_is_bad_input(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    ran = run(capsys, "verify", tmp_path / "none")
    assert (ran.status, ran.out) == (2, "")
    assert "can't be read (No such file or directory)" in ran.err


def test_it_needs_neither_kivy_nor_sockets_nor_a_store() -> None:
    watch = (
        "import sys; from tablesync.record.verification import examine; "
        "import tablesync.record.verdict; "
        "print(sorted(set(sys.modules) & {'kivy', 'websockets', 'aiosqlite', "
        "'asyncio', 'sqlite3', 'socket', 'ssl'}))"
    )
    done = subprocess.run(
        [sys.executable, "-c", watch], capture_output=True, text=True, check=True
    )
    assert done.stdout == "[]\n"
