"""A record says the same on every machine: hash seed, time zone and locale varied."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tablesync.record.file import write_record
from tablesync.scenario import read_scenario
from tests.realgames import GAMES, needs_real_games
from tests.recording import real_scenario, recorded

ALL_THAT_IS_SAID = """
import contextlib, io, sys
from pathlib import Path
from tablesync.cli import main

file, folder = Path(sys.argv[1]), Path(sys.argv[2])
picture = folder / "chart.svg"
said = io.StringIO()
with contextlib.redirect_stdout(said):
    for arguments in (
        ["verify", file],
        ["verify", file, "--json"],
        ["replay", file],
        ["replay", file, "--json"],
        ["replay", file, "--at", "2/5:30", "--json"],
        ["replay", file, "--at", "2/5:30", "--picture", picture],
        ["dispute", file, "--from", "1/10:00", "--to", "2/0:00"],
        ["box", file],
        ["box", file, "--json"],
    ):
        with contextlib.suppress(SystemExit):
            main([str(argument) for argument in arguments])
sys.stdout.buffer.write(said.getvalue().encode() + picture.read_bytes())
"""

ENVIRONMENTS = (
    ("0", "UTC", "C"),
    ("1", "Pacific/Auckland", "C.UTF-8"),
    ("4711", "America/St_Johns", "tr_TR.UTF-8"),
    ("0", "America/St_Johns", "C.UTF-8"),
)
"""Hash seed, time zone, locale."""


def said(file: Path, folder: Path, seed: str, zone: str, locale: str) -> bytes:
    """All output of one run with this environment."""
    folder.mkdir()
    environment = os.environ | {
        "PYTHONHASHSEED": seed,
        "TZ": zone,
        "LC_ALL": locale,
        "LANG": locale,
        "COLUMNS": "100",
    }
    done = subprocess.run(
        [sys.executable, "-c", ALL_THAT_IS_SAID, str(file), str(folder)],
        capture_output=True,
        check=True,
        env=environment,
    )
    return done.stdout


@pytest.mark.processes
def test_all_that_is_said_of_a_record_is_the_same_everywhere(tmp_path: Path) -> None:
    scenario = read_scenario(Path("scenarios/dispute-seat-cut-off-for-a-quarter.jsonl"))
    file = tmp_path / "game.record"
    file.write_bytes(write_record(recorded(scenario, sizes=(20,))))
    outputs = {
        said(file, tmp_path / str(n), *environment)
        for n, environment in enumerate(ENVIRONMENTS)
    }
    [output] = outputs
    assert b"Sound: no fault was found." in output
    assert output.endswith(b"</svg>\n")


@pytest.mark.processes
@needs_real_games
def test_all_that_is_said_of_a_real_game_is_the_same_everywhere(tmp_path: Path) -> None:
    scenario = real_scenario(GAMES[0], tmp_path, slips=4)
    file = tmp_path / "game.record"
    file.write_bytes(write_record(recorded(scenario)))
    one, other = (
        said(file, tmp_path / str(n), *ENVIRONMENTS[n])
        for n in (0, len(ENVIRONMENTS) - 2)
    )
    assert one == other
    assert b"found" in one
