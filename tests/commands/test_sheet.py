from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from tablesync.core.quarter_marks import MarkStyle
from tablesync.game_file import game_at
from tablesync.paper.score_sheet import Paper
from tablesync.paper.score_sheet_pdf import score_sheet_pdf
from tablesync.record.file import write_record
from tablesync.scenario import read_scenario
from tests.commands.running import run
from tests.paper.printed import printed_text
from tests.recording import recorded

QUARTER = Path("scenarios/clean-quarter.jsonl")
SHEET = Path("scenarios/game-sheet.toml")

if TYPE_CHECKING:
    import pytest

    Captured = pytest.CaptureFixture[str]


def test_the_sheet_of_a_record_names_its_fingerprint(
    tmp_path: Path, capsys: Captured
) -> None:
    record, pdf = tmp_path / "game.record", tmp_path / "sheet.pdf"
    record.write_bytes(write_record(recorded(read_scenario(QUARTER))))
    ran = run(capsys, "sheet", record, "--pdf", pdf)
    assert (ran.status, ran.out) == (0, "")
    assert ran.err == f"The sheet is in {pdf}.\n"
    [page] = printed_text(pdf.read_bytes())
    texts = [text.text for text in page]
    assert texts[0] == "Harbour Mills 10 : 11 Kestrel Park"
    fingerprint = record.read_bytes()[-32:].hex()[:16]
    assert any(text.startswith(f"record {fingerprint} · game ") for text in texts)


def test_a_scenario_is_said_to_be_no_record(tmp_path: Path, capsys: Captured) -> None:
    pdf = tmp_path / "sheet.pdf"
    arguments = ("sheet", QUARTER, "--pdf", pdf, "--paper", "letter", "--marks")
    assert run(capsys, *arguments, "start").status == 0
    game = game_at(QUARTER).game
    origin = "a scenario, no signed record"
    expected = score_sheet_pdf(game, origin, MarkStyle.START, Paper.LETTER)
    assert pdf.read_bytes() == expected


def test_a_game_sheet_gives_a_blank_score_sheet(
    tmp_path: Path, capsys: Captured
) -> None:
    pdf = tmp_path / "sheet.pdf"
    assert run(capsys, "sheet", SHEET, "--pdf", pdf).status == 0
    texts = [text.text for text in printed_text(pdf.read_bytes())[0]]
    assert texts[0] == "Harbour Mills v Kestrel Park"
    assert "Lindqvist, Bo" in texts
    assert any("bench on the left: Kestrel Park" in text for text in texts)
    assert any(text.startswith("before the game · game ") for text in texts)


def test_a_file_that_is_there_is_not_written_over(
    tmp_path: Path, capsys: Captured
) -> None:
    pdf = tmp_path / "sheet.pdf"
    pdf.write_bytes(b"something else")
    ran = run(capsys, "sheet", SHEET, "--pdf", pdf)
    assert ran.status == 2
    assert "can't be written (File exists)" in ran.err
    assert pdf.read_bytes() == b"something else"


def test_where_to_write_it_must_be_said(capsys: Captured) -> None:
    ran = run(capsys, "sheet", SHEET)
    assert (ran.status, ran.out) == (2, "")
    assert "Missing option '--pdf'" in ran.err


def test_without_what_writes_pdf_it_says_how_to_install_it(
    tmp_path: Path, capsys: Captured, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tablesync.commands.paper_extra.find_spec", lambda _name: None)
    ran = run(capsys, "sheet", SHEET, "--pdf", tmp_path / "sheet.pdf")
    assert ran.status == 2
    assert ran.err == (
        "tablesync: --pdf: what writes PDF is not installed; expected the extra "
        '"tablesync[paper]"\n'
    )
