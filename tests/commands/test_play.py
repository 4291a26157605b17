"""The command `play`, as it is used in a pipe."""

from __future__ import annotations

import subprocess
import sys

import pytest


@pytest.mark.processes
def test_a_play_ends_when_nobody_reads_on() -> None:
    play = subprocess.Popen(
        [sys.executable, "-m", "tablesync", "play", "scenarios/clean-quarter.jsonl"],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    )
    assert play.stdout is not None
    assert play.stdout.readline()
    play.stdout.close()
    assert play.wait(timeout=20) != 0
