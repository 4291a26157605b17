"""The program itself, in processes of its own, as it is started at a table."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.mobile.conftest import why_no_window

if TYPE_CHECKING:
    from collections.abc import Callable

pytestmark = [
    pytest.mark.screens,
    pytest.mark.processes,
    pytest.mark.skipif(why_no_window() is not None, reason=str(why_no_window())),
]

ROOT = Path(__file__).resolve().parents[3]
GAME = ROOT / "tablesync" / "demo.jsonl"
PATIENCE_S = 25.0


def _start(command: list[str], home: Path) -> subprocess.Popen[bytes]:
    environment = {**os.environ, "TABLESYNC_HOME": str(home)}
    return subprocess.Popen([sys.executable, *command], cwd=ROOT, env=environment)


def _until(holds: Callable[[], bool]) -> None:
    give_up_s = time.monotonic() + PATIENCE_S
    while not holds():
        assert time.monotonic() < give_up_s, "it never came to be so"
        time.sleep(0.05)


def _journals(home: Path) -> list[Path]:
    return list(home.glob("**/*.journal"))


def test_a_seat_opens_its_journal_and_ends_cleanly_when_asked(tmp_path: Path) -> None:
    seat = _start(["-m", "mobile.main", "book", "--game", str(GAME)], tmp_path)
    try:
        _until(lambda: bool(_journals(tmp_path)))
        seat.send_signal(signal.SIGTERM)
        assert seat.wait(PATIENCE_S) == 0
    finally:
        seat.kill()
    assert [path.name[-12:] for path in _journals(tmp_path)] == ["book.journal"]


def test_a_table_opens_two_seats_that_end_with_it(tmp_path: Path) -> None:
    program = (
        "from tablesync.cli import main; "
        f"main(['table', {str(GAME)!r}, '--keep', {str(tmp_path)!r}])"
    )
    table = _start(["-c", program], tmp_path)
    try:
        _until(lambda: len(_journals(tmp_path)) == 2)
        table.send_signal(signal.SIGINT)
        table.wait(PATIENCE_S)
    finally:
        table.kill()
    names = sorted(path.parent.parent.name for path in _journals(tmp_path))
    assert names == ["book", "clock"]
