"""`tablesync replay` tells a recorded game again."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from tablesync.core.acts import Basket, Note, Seat, Side, Strike
from tablesync.core.vector_clock import VectorClock
from tablesync.record.file import write_record
from tablesync.replay.replay import EntryStep, FindingStep
from tablesync.scenario import read_scenario
from tablesync.seal import Pen
from tablesync.sheet_bytes import game_id
from tests.commands.running import run
from tests.entering import KEYS
from tests.recording import record_of, recorded, replay_of, sealed
from tests.telling import told_entries

MISSED = read_scenario(Path("scenarios/basket-missed-on-the-board.jsonl"))
REPLAY = replay_of(MISSED)
FINDING = next(s.finding for s in REPLAY.steps if isinstance(s, FindingStep))


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "game.record"
    path.write_bytes(write_record(recorded(MISSED)))
    return path


def values(text: str) -> list[dict[str, object]]:
    return [json.loads(line) for line in text.splitlines()]


def test_the_steps_are_listed_where_there_is_no_terminal(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    ran = run(capsys, "replay", file)
    assert (ran.status, ran.err) == (0, "")
    lines = ran.out.splitlines()
    assert len(lines) == len(REPLAY.steps)
    assert lines[0] == "   #1 1st 10:00     +0.0    board   1st quarter opens"
    assert lines[20] == "  #21  1st 8:23   +137.2    book    green 13: two points"
    [found] = [line for line in lines if "≠" in line]
    assert found.endswith(f"  ≠ found   {FINDING.text} [{FINDING.id}]")
    [over] = [line for line in lines if " = " in line]
    assert over.endswith("  = over    score of Kestrel Park: the records agree again")


def test_filters_go_together(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    ran = run(
        capsys, "replay", file, "--team", "away", "--item", "score", "--from", "#20",
        "--to", "1/8:00", "--period", "1", "--player", "13",
    )  # fmt: skip
    [basket, found] = ran.out.splitlines()
    assert "green 13: two points" in basket
    assert "≠ found" in found


def test_every_step_can_be_had_as_json(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    lines = values(run(capsys, "replay", file, "--json").out)
    assert [line["position"] for line in lines] == list(range(1, len(lines) + 1))
    entries = [line["entry"] for line in lines if "entry" in line]
    expected = [s.entry for s in REPLAY.steps if isinstance(s, EntryStep)]
    for entry, original in zip(entries, expected, strict=True):
        assert isinstance(entry, dict)
        assert entry["digest"] == original.digest.hex()
        assert entry["id"] == str(original.id)
    assert [key for line in lines for key in ("raised", "cleared") if key in line] == [
        "raised",
        "cleared",
    ]


def test_a_moment_can_be_had_as_a_page_and_as_json(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    page = run(capsys, "replay", file, "--at", "1/8:00").out
    assert page.startswith("at 1st 8:00, 160.2 s after the first entry\n")
    assert f"≠ {FINDING.text}"[:60] in page
    [moment] = values(run(capsys, "replay", file, "--at", "1/8:00", "--json").out)
    assert moment["received"] == {
        "book": {"count": 12, "of": 12},
        "clock": {"count": 10, "of": 11},
    }
    findings = moment["findings"]
    assert isinstance(findings, list)
    assert [finding["cause"] for finding in findings] == ["only_in_book"]
    book, board = moment["book"], moment["board"]
    assert isinstance(book, dict)
    assert isinstance(board, dict)
    assert book["score"] == {"home": 7, "away": 7}
    assert board["score"] == {"home": 7, "away": 5}


def test_the_chart_is_written_and_never_over_another_file(
    file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    picture = tmp_path / "chart.svg"
    ran = run(capsys, "replay", file, "--at", "1/8:00", "--picture", picture)
    assert (ran.status, ran.out) == (0, "")
    assert ET.fromstring(picture.read_bytes()).tag.endswith("svg")
    fine = run(capsys, "replay", file, "--picture", tmp_path / "chart.png")
    assert fine.status == 0
    assert (tmp_path / "chart.png").read_bytes().startswith(b"\x89PNG")
    again = run(capsys, "replay", file, "--picture", picture)
    assert again.status == 2
    assert "can't be written (File exists)" in again.err


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["--at", "noon"], "tablesync: --at: 'noon' is no moment; expected a period"),
        (["--from", "#99"], "tablesync: --from: '#99' never came"),
        (["--to", "4/1:00"], "tablesync: --to: '4/1:00' never came"),
        (["--finding", "x"], "tablesync: --finding: there was no finding or notice"),
    ],
)
def test_what_never_was_is_refused(
    file: Path,
    capsys: pytest.CaptureFixture[str],
    arguments: list[str],
    sentence: str,
) -> None:
    ran = run(capsys, "replay", file, *arguments)
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.startswith(sentence)


def test_a_file_with_a_fault_is_not_replayed(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    record = recorded(MISSED)
    file.write_bytes(write_record(replace(record, entries=record.entries[1:])))
    ran = run(capsys, "replay", file)
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.startswith(f"tablesync: {file}: entry 1 (")


def test_a_device_that_forked_is_told_of_and_both_branches_are_shown(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    record = recorded(MISSED)
    pen = Pen(KEYS[Seat.BOOK], Seat.BOOK, game_id(record.sheet))
    fork = pen.write(Note("another branch"), VectorClock(), 500_000)
    entries = (*record.entries, *sealed([fork]))
    file.write_bytes(write_record(replace(record, entries=entries)))
    ran = run(capsys, "replay", file)
    assert ran.status == 0
    assert "its device wrote entry 2 under the same number" in ran.err
    assert "note: another branch" in ran.out


def test_words_of_strangers_do_not_steer_the_terminal(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    entries = told_entries(
        (1_000, Seat.BOOK, Note("\x1b[2Jgone\nnew line")),
        (2_000, Seat.BOOK, Basket(Side.HOME, "4", 2)),
        (3_000, Seat.BOOK, lambda ids: Strike(ids[1])),
    )
    file.write_bytes(write_record(record_of(entries)))
    lines = run(capsys, "replay", file).out.splitlines()
    assert len(lines) == 3
    assert lines[0].endswith("note: \ufffd[2Jgone new line")
    assert lines[1].endswith("white 4: two points (struck out later)")
    assert lines[2].endswith("strikes out an entry [#2 white 4: two points]")
