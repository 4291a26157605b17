"""Runs the command line in this process, as a shell would see it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import pytest

from tablesync.cli import main

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["Ran", "run"]


@dataclass(frozen=True, slots=True)
class Ran:
    """What a command left behind."""

    status: int
    out: str
    err: str


def run(capsys: pytest.CaptureFixture[str], *arguments: str | Path) -> Ran:
    """Runs `tablesync` with these arguments."""
    capsys.readouterr()
    with pytest.raises(SystemExit) as caught:
        main([str(argument) for argument in arguments])
    code = caught.value.code
    assert code is None or isinstance(code, int)
    told = capsys.readouterr()
    return Ran(code or 0, told.out, told.err)
