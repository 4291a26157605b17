from __future__ import annotations

import os
import subprocess
import sys

import pytest

pytest.importorskip("kivy")
pytestmark = [pytest.mark.screens, pytest.mark.processes]

PROGRAM = """
import logging
from mobile.kivy_settings import apply_settings

apply_settings((100, 100))
for name in ("aiosqlite", "websockets.client", "another"):
    print(name, logging.getLogger(name).isEnabledFor(logging.DEBUG))
"""


def test_kivy_has_no_statement_and_no_frame_told_word_for_word() -> None:
    """In a process of its own: what is set up stays so."""
    run = [sys.executable, "-c", PROGRAM]
    usual = {**os.environ, "KIVY_LOG_MODE": "KIVY"}
    ran = subprocess.run(run, capture_output=True, text=True, check=True, env=usual)
    told = dict(line.split() for line in ran.stdout.splitlines())
    # Kivy has everything told, unless it is asked not to.
    assert told == {
        "aiosqlite": "False",
        "websockets.client": "False",
        "another": "True",
    }
