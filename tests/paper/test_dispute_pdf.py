"""The report on paper: as many pages as it takes, the chart on broad ones."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from tablesync.dispute.dispute import dispute_over_finding, dispute_over_span
from tablesync.paper.dispute_pdf import dispute_pdf
from tablesync.record.file import write_record
from tablesync.record.verification import OpenedRecord, open_record
from tablesync.replay.replay import FindingStep, Replay
from tablesync.scenario import read_scenario
from tests.recording import recorded

NOON = datetime(2026, 11, 21, 12, tzinfo=UTC)


def opened(name: str) -> tuple[OpenedRecord, Replay]:
    scenario = read_scenario(Path(f"scenarios/{name}.jsonl"))
    record = open_record(write_record(recorded(scenario)))
    return record, Replay(record.sheet, record.rules, record.history)


def pages(pdf: bytes) -> int:
    """How many pages there are."""
    return len(re.findall(rb"/Type /Page\n", pdf))


def broad_pages(pdf: bytes) -> int:
    """How many of them lie on their side."""
    return pdf.count(b"/MediaBox [0 0 841.89 595.28]")


def test_a_report_is_the_same_bytes_when_it_is_printed_at_the_same_time() -> None:
    record, replay = opened("dispute-basket-found-late")
    id_ = next(s.finding.id for s in replay.steps if isinstance(s, FindingStep))
    dispute = dispute_over_finding(record, replay, id_)
    pdf = dispute_pdf(dispute, replay, NOON)
    assert pdf.startswith(b"%PDF-")
    assert pdf.rstrip().endswith(b"%%EOF")
    assert pdf == dispute_pdf(dispute, replay, NOON)
    assert (pages(pdf), broad_pages(pdf)) == (3, 1)


def test_a_long_report_goes_over_many_pages_and_an_empty_one_has_no_chart() -> None:
    record, replay = opened("dispute-seat-cut-off-for-a-quarter")
    last = replay.steps[-1].at_ms
    everything = dispute_pdf(dispute_over_span(record, replay, 0, last), replay, NOON)
    assert broad_pages(everything) >= 4
    nothing = dispute_pdf(dispute_over_span(record, replay, 0, 1), replay, NOON)
    assert broad_pages(nothing) == 0
    assert pages(nothing) >= 1


def test_any_letters_can_be_printed() -> None:
    record, replay = opened("dispute-basket-found-late")
    dispute = dispute_over_span(record, replay, 0, 60_000)
    strange = replace(
        dispute,
        title="Čačić, Жуков ≠ \x1b[2J",
        question="中 \u202e?",
        game=("",),
    )
    assert dispute_pdf(strange, replay, NOON).startswith(b"%PDF-")
