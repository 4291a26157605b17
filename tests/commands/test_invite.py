"""`tablesync invite`: a seat given out from the command line."""

from __future__ import annotations

import asyncio
import sys
from typing import TYPE_CHECKING

import pytest

from tablesync.admission.invitation import EVERY_GAME, read_invitation
from tablesync.admission.short_code import read_code
from tablesync.core.acts import Seat

if TYPE_CHECKING:
    from pathlib import Path

GAME = "scenarios/clean-quarter.jsonl"


async def invited(store: Path, *arguments: str) -> tuple[int, str, str]:
    """The exit status and both outputs of the command."""
    program = [sys.executable, "-m", "tablesync", "invite", *arguments]
    process = await asyncio.create_subprocess_exec(
        *program,
        *("--store", str(store), "--host", "127.0.0.1"),
        stdout=asyncio.subprocess.PIPE,
        stderr=asyncio.subprocess.PIPE,
    )
    out, err = await process.communicate()
    assert process.returncode is not None
    return process.returncode, out.decode(), err.decode()


@pytest.mark.parametrize("seat", [Seat.BOOK, Seat.CLOCK])
async def test_seat_is_given_out_before_the_relay_runs(
    tmp_path: Path, seat: Seat
) -> None:
    status, out, _ = await invited(tmp_path / "games.db", seat.value, "--game", GAME)
    assert status == 0
    code, text = out.splitlines()[-2:]
    invitation = read_invitation(text)
    assert (invitation.seat, invitation.relay.port) == (seat, 8642)
    assert read_code(code.split()[1])[0] == 1


async def test_director_is_invited_to_every_game(tmp_path: Path) -> None:
    status, out, _ = await invited(tmp_path / "games.db", "watch")
    assert status == 0
    invitation = read_invitation(out.splitlines()[-1])
    assert (invitation.game, invitation.seat) == (EVERY_GAME, None)


async def test_seat_of_no_game_is_not_given_out(tmp_path: Path) -> None:
    status, out, err = await invited(tmp_path / "games.db", "book")
    assert (status, out) == (2, "")
    assert "name it with --game" in err
