"""Servers as processes of their own: our relay, the floors, and what lies outside."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from contextlib import AbstractContextManager

__all__ = ["ANCHORS", "Running", "anchor_floor", "floor", "relay", "resident_kib"]

ANCHORS = Path(__file__).parents[3] / "shared" / "anchors"
"""Yardsticks that are no part of the project; they may be absent."""
TICKS = os.sysconf("SC_CLK_TCK")


@dataclass(frozen=True, slots=True)
class Running:
    """A server that listens on this machine."""

    pid: int
    port: int

    @property
    def address(self) -> str:
        """Where our relay is called."""
        return f"ws://127.0.0.1:{self.port}"

    def process_beside(self) -> Running:
        """The process that the relay has started, which sums up the courts."""
        children = Path(f"/proc/{self.pid}/task/{self.pid}/children").read_text()
        (pid,) = map(int, children.split())
        return Running(pid, self.port)

    def resident_kib(self) -> int:
        """The memory that it has in use."""
        return resident_kib(self.pid)

    def processor_s(self) -> float:
        """The processor time that it has had."""
        stat = Path(f"/proc/{self.pid}/stat").read_text().rpartition(")")[2].split()
        return (int(stat[11]) + int(stat[12])) / TICKS


def resident_kib(pid: int) -> int:
    """The memory that a process has in use."""
    for line in Path(f"/proc/{pid}/status").read_text().splitlines():
        if line.startswith("VmRSS"):
            return int(line.split()[1])
    raise LookupError(pid)


@contextmanager
def relay(folder: Path | None = None) -> Iterator[Running]:
    """Our relay, as `tablesync relay` starts it, with a store in that folder."""
    with tempfile.TemporaryDirectory() as made:
        store = str((folder or Path(made)) / "relay.db")
        command = [
            "-m",
            "tablesync",
            "relay",
            "--insecure",
            "--port",
            "0",
            "--store",
            store,
        ]
        process = subprocess.Popen(
            [sys.executable, *command],
            stderr=subprocess.PIPE,
            text=True,
        )
        try:
            assert process.stderr is not None
            address = process.stderr.readline().split()[4]
            yield Running(process.pid, int(address.rpartition(":")[2]))
        finally:
            process.terminate()
            process.communicate()


@contextmanager
def floor(kind: str, *options: str) -> Iterator[Running]:
    """One of `floors`."""
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, "-m", "tests.benchmarks.floors", kind, folder]
        with _saying_its_port([*command, *options]) as running:
            yield running


def anchor_floor() -> AbstractContextManager[Running] | None:
    """The anchors' bare durable relay, where they are there; it speaks as ours does."""
    return _anchor_floor() if ANCHORS.is_dir() else None


@contextmanager
def _anchor_floor() -> Iterator[Running]:
    with tempfile.TemporaryDirectory() as folder:
        program = str(ANCHORS / "relay_floor.py")
        command = [sys.executable, program, "serve", "--loop", "uvloop"]
        with _saying_its_port([*command, "--dir", folder]) as running:
            yield running


@contextmanager
def _saying_its_port(command: Sequence[str]) -> Iterator[Running]:
    process = subprocess.Popen(
        command,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    )
    try:
        assert process.stdout is not None
        yield Running(process.pid, int(process.stdout.readline().split()[1]))
    finally:
        process.terminate()
        process.communicate()
