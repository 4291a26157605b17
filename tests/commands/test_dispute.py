"""`tablesync dispute` reports the facts as text and as PDF."""

from __future__ import annotations

from pathlib import Path

import pytest

from tablesync.record.file import write_record
from tablesync.replay.replay import FindingStep
from tablesync.scenario import read_scenario
from tests.commands.running import run
from tests.recording import recorded, replay_of

LATE = read_scenario(Path("scenarios/dispute-basket-found-late.jsonl"))
FINDING = next(
    s.finding.id for s in replay_of(LATE).steps if isinstance(s, FindingStep)
)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "game.record"
    path.write_bytes(write_record(recorded(LATE)))
    return path


def test_a_finding_is_reported_as_text(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    ran = run(capsys, "dispute", file, "--finding", FINDING)
    assert (ran.status, ran.err) == (0, "")
    assert ran.out.startswith("Score of Kestrel Park, 1st ")
    assert ran.out.endswith("The referees' and the league's rulings prevail.\n")


def test_a_span_is_reported_as_text(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    ran = run(capsys, "dispute", file, "--from", "1/9:00", "--to", "1/8:00")
    assert ran.status == 0
    assert ran.out.startswith("1st 9:00 to 1st 8:00\n")


def test_the_report_is_written_as_pdf_and_never_over_another(
    file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "report.pdf"
    ran = run(capsys, "dispute", file, "--finding", FINDING, "--pdf", out)
    assert (ran.status, ran.out) == (0, "")
    assert out.read_bytes().startswith(b"%PDF-")
    again = run(capsys, "dispute", file, "--finding", FINDING, "--pdf", out)
    assert (again.status, again.out) == (2, "")
    assert "can't be written (File exists)" in again.err


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        ([], "dispute: it is not clear about what"),
        (["--from", "#1"], "dispute: it is not clear about what"),
        (["--finding", "x", "--to", "#1"], "dispute: it is not clear about what"),
        (["--finding", "x"], "--finding: there was no finding 'x'"),
        (["--from", "#9", "--to", "#1"], "--to: '#1' is before '#9'"),
        (["--from", "noon", "--to", "#1"], "--from: 'noon' is no moment"),
    ],
)
def test_what_is_not_clear_is_refused(
    file: Path,
    capsys: pytest.CaptureFixture[str],
    arguments: list[str],
    sentence: str,
) -> None:
    ran = run(capsys, "dispute", file, *arguments)
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.startswith(f"tablesync: {sentence}")
