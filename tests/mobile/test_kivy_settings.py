from __future__ import annotations

import os
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from pathlib import Path

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


def test_a_home_in_which_no_folder_can_be_made_is_named(tmp_path: Path) -> None:
    home = tmp_path / "home"
    home.write_text("a file where a folder should be")
    command = [sys.executable, "-m", "tablesync", "seat", "book"]
    unusual = {**os.environ, "KIVY_HOME": str(home / "kivy"), "DISPLAY": ":0"}
    ran = subprocess.run(
        command, capture_output=True, text=True, check=False, env=unusual
    )
    assert ran.returncode == 2
    assert ran.stderr == (
        f"tablesync: {home / 'kivy'}: Not a directory; "
        "expected a place where a folder can be made, or another in KIVY_HOME\n"
    )
