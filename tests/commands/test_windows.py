from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.commands.running import run

if TYPE_CHECKING:
    from collections.abc import Iterable

DEMO = Path(__file__).resolve().parents[2] / "tablesync" / "demo.jsonl"
WINDOWS: Iterable[tuple[str, ...]] = (
    ("table", str(DEMO)),
    ("seat", "book", "--game", str(DEMO)),
)


@pytest.fixture(autouse=True)
def _no_display(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.platform", "linux")
    for name in ("DISPLAY", "WAYLAND_DISPLAY"):
        monkeypatch.delenv(name, raising=False)


@pytest.mark.parametrize(
    "command",
    [*WINDOWS, ("director", "--relay", "ws://127.0.0.1:8642")],
    ids=lambda command: command[0],
)
def test_without_a_display_a_window_is_refused_in_one_sentence(
    capsys: pytest.CaptureFixture[str], command: tuple[str, ...]
) -> None:
    ran = run(capsys, *command)
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.startswith("tablesync: screens: ")
    assert ran.err.count("\n") == 1


@pytest.mark.parametrize("command", WINDOWS, ids=lambda command: command[0])
def test_a_file_that_is_no_game_is_told_before_any_window(
    capsys: pytest.CaptureFixture[str], command: tuple[str, ...]
) -> None:
    ran = run(capsys, *command[:-1], "no-such-game.toml")
    assert ran.status == 2
    assert ran.err.startswith("tablesync: no-such-game.toml: ")


@pytest.mark.parametrize("command", [("seat", "clock"), ("director",)])
def test_what_is_no_address_is_told_before_any_window(
    capsys: pytest.CaptureFixture[str], command: tuple[str, ...]
) -> None:
    ran = run(capsys, *command, "--relay", "ws://10.0.0.5:abc")
    assert ran.status == 2
    assert ran.err.startswith("tablesync: the relay: 'ws://10.0.0.5:abc' is no address")


def test_without_a_display_the_demo_is_told_in_the_terminal(
    capsys: pytest.CaptureFixture[str],
) -> None:
    ran = run(capsys, "demo", "--fast")
    assert ran.status == 0
    assert "the records agree again" in ran.out
