"""`tablesync courts` against a relay that is a process of its own."""

from __future__ import annotations

import json
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest
from websockets.sync.client import connect

from tablesync.core.acts import Seat
from tablesync.sync.codec import encode
from tablesync.sync.messages import PROTOCOL, Hello, SheetFrame
from tests.commands.running import run
from tests.sync.table import GAME, KEYS, SHEET
from tests.test_server import notes, sealed

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


@pytest.fixture
def address(tmp_path: Path) -> Iterator[str]:
    store = str(tmp_path / "relay.db")
    program = [sys.executable, "-m", "tablesync", "relay", "--insecure"]
    relay = subprocess.Popen(
        [*program, "--port", "0", "--store", store], stderr=subprocess.PIPE, text=True
    )
    assert relay.stderr is not None
    yield relay.stderr.readline().split()[4]
    relay.terminate()
    relay.wait()
    relay.stderr.close()


@pytest.mark.processes
def test_courts_are_told_once_as_a_table_and_as_values(
    capsys: pytest.CaptureFixture[str], address: str
) -> None:
    said = (
        Hello(PROTOCOL, GAME, KEYS[0].device, Seat.BOOK, {}),
        SheetFrame(SHEET),
        sealed(*notes(2)),
    )
    with connect(address, compression=None, proxy=None) as book:
        for message in said:
            book.send(encode(message))
        # What comes back after the last of it shows that it has been taken.
        heard = 0
        while heard < 3:
            book.recv(timeout=5)
            heard += 1
        ran = run(capsys, "courts", "--relay", address, "--once", "--json")
        (line,) = ran.out.splitlines()
        court = json.loads(line)
        assert (ran.status, court["game"]) == (0, GAME.hex())
        assert court["links"]["book"]["devices"] == 1
        assert court["teams"] == {"home": "Harbour Mills", "away": "Tidegate"}
        ran = run(capsys, "courts", "--relay", address, "--once")
        assert "1 court:" in ran.out


def test_relay_that_is_not_there_is_said_so(capsys: pytest.CaptureFixture[str]) -> None:
    ran = run(capsys, "courts", "--relay", "ws://127.0.0.1:9", "--once")
    assert ran.status == 2
    assert ran.out == ""
    assert "ws://127.0.0.1:9" in ran.err


def test_device_is_named_as_the_table_names_it(
    capsys: pytest.CaptureFixture[str],
) -> None:
    for name in ("5eed", "the new tablet"):
        ran = run(capsys, "courts", "--relay", "ws://127.0.0.1:9", "--let-in", name)
        assert ran.status == 2
        assert "8 digits" in ran.err
