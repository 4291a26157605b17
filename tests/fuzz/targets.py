"""Everything that reads what others wrote, and what of it to begin with.

Each reader either takes its input or raises an error of ours; anything else is a crash.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from shutil import copytree
from tempfile import mkdtemp
from typing import TYPE_CHECKING

from tablesync.core.acts import Note, Seat
from tablesync.core.rulesets import rule_set
from tablesync.core.vector_clock import VectorClock
from tablesync.errors import TableSyncError
from tablesync.game_sheet_file import game_sheet_at
from tablesync.record.file import read_record, write_record
from tablesync.roster_file import roster_at
from tablesync.rule_file import read_rule_file
from tablesync.scenario import read_scenario
from tablesync.seal import Pen, unseal
from tablesync.sheet_bytes import read_sheet
from tablesync.sync.claim import Standing
from tablesync.sync.codec import MOST_BYTES, decode, encode
from tablesync.sync.device import DeviceSide
from tablesync.sync.intake import Archive
from tablesync.sync.messages import (
    PROTOCOL,
    Asking,
    Beat,
    BeatBack,
    Bye,
    Countersign,
    Durable,
    Entries,
    Have,
    Hello,
    Presence,
    Refusal,
    Sealed,
    SheetFrame,
    SheetRequest,
    Signed,
    Welcome,
)
from tablesync.sync.notary import EVERY_MS, Notary
from tablesync.sync.relay import RelayGame
from tablesync.sync.timing import Timing
from tests.fuzz.mutation import mutated, mutated_frame
from tests.fuzz.side_doors import (
    COURT_FRAMES,
    DOOR_FRAMES,
    give_at_door,
    give_to_courts,
)
from tests.recording import recorded
from tests.sync.table import GAME, KEYS, SHEET, claim_of

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from random import Random

    from tablesync.sync.intake import Holder
    from tablesync.sync.messages import Message
    from tablesync.sync.relay import RelaySide

__all__ = ["CRASHERS", "FILES", "FRAMES", "Target", "keep"]

CRASHERS = Path(__file__).parent / "crashers"
"""A folder for each target, with what it once crashed on."""
SCENARIOS = Path(__file__).resolve().parents[2] / "scenarios"
MOST_SEED_BYTES = 20_000


@dataclass(frozen=True)
class Target:
    """One reader."""

    name: str
    seeds: Sequence[bytes]
    read: Callable[[bytes], object]
    change: Callable[[Random, Sequence[bytes]], bytes] = mutated

    def takes(self, data: bytes) -> bool:
        """Whether the reader accepts the data. Nothing but our errors may come out."""
        try:
            self.read(data)
        except TableSyncError:
            return False
        return True


def keep(target: Target, data: bytes) -> None:
    """Keeps what a target crashed on, for the tests."""
    folder = CRASHERS / target.name
    folder.mkdir(parents=True, exist_ok=True)
    (folder / hashlib.sha256(data).hexdigest()[:16]).write_bytes(data)


def _written() -> list[Sealed]:
    pen, sealed = Pen(KEYS[0], Seat.BOOK, GAME), []
    for number in range(4):
        entry = pen.write(Note(str(number)), VectorClock(), 1_000 + number)
        sealed.append(Sealed(entry.payload, entry.signature))
    return sealed


WRITTEN = _written()
DEVICE = KEYS[0].device


def _relay(entries: Sequence[Sealed]) -> tuple[RelayGame, RelaySide]:
    """A relay that holds these, has signed that, and is linked with their device."""
    relay = RelayGame(Archive(GAME), SHEET, Timing())
    relay.notary = Notary(KEYS[4], GAME, (), 0)
    side = relay.admit(Hello(PROTOCOL, GAME, DEVICE, Seat.BOOK, {}), 0)
    side.receive_frame(encode(Entries(tuple(entries))), 0)
    relay.committed(relay.holder.history)
    relay.tick(EVERY_MS)
    return relay, side


def _device(entries: Sequence[Sealed]) -> DeviceSide:
    """The same device, which is linked and holds these."""
    holder = Archive(GAME)
    for sealed in entries:
        holder.receive(unseal(*sealed))
    device = DeviceSide(
        claim_of(KEYS[0], Seat.BOOK), holder, Timing(), Standing(len(entries))
    )
    device.connected(0)
    heads = holder.history.heads()
    device.receive_frame(encode(Welcome(PROTOCOL, heads, heads[DEVICE], 5)), 1)
    device.frames_to_send()
    return device


def _checkpointed() -> list[bytes]:
    """A relay's checkpoint as it tells it, and what the device answers."""
    _, side = _relay(WRITTEN)
    told = [frame for frame in side.frames_to_send() if _is_a(Signed, frame)]
    device = _device(WRITTEN)
    device.receive_frame(told[-1], 2)
    return [*told, *(f for f in device.frames_to_send() if _is_a(Countersign, f))]


def _is_a(kind: type[Message], frame: bytes) -> bool:
    return isinstance(decode(frame), kind)


def _frames() -> list[bytes]:
    relay, _ = _relay(WRITTEN)
    heads = relay.holder.history.heads()
    return [
        encode(message)
        for message in (
            Hello(PROTOCOL, GAME, DEVICE, Seat.BOOK, heads),
            Hello(PROTOCOL, GAME, KEYS[1].device, None, {}),
            Welcome(PROTOCOL, heads, heads[DEVICE], 5),
            SheetRequest(),
            SheetFrame(SHEET),
            Entries(tuple(WRITTEN)),
            Entries(tuple(WRITTEN[:1])),
            Have(heads),
            Durable(heads),
            Beat(2_000, 4, 1_500),
            BeatBack(1_500, 2_000, 2_000, 4),
            Presence(DEVICE, Seat.BOOK, is_linked=True, number=4, heard_ms=2_000),
            Refusal("bad_signature", "not signed so"),
            Asking(KEYS[1].device, Seat.CLOCK),
            Bye(),
        )
    ] + _checkpointed()


def read_frame(frame: bytes) -> None:
    """Reads a frame. One that is taken says the same when it is written again."""
    message = decode(frame)
    again = encode(message)
    assert len(frame) <= MOST_BYTES
    assert decode(again) == message


def give_to_relay(frame: bytes) -> None:
    """Gives a frame to a relay that has half of a game.

    Whatever it says, only entries that were truly written can have come in by it.
    """
    relay, side = _relay(WRITTEN[:2])
    side.receive_frame(frame, 1)
    _require_only_written(relay.holder)
    side.frames_to_send()


def give_to_device(frame: bytes) -> None:
    """Gives a frame to a device that is linked and has half of a game."""
    device = _device(WRITTEN[:2])
    device.receive_frame(frame, 2)
    _require_only_written(device._holder)
    device.frames_to_send()
    device.effects()


def _require_only_written(holder: Holder) -> None:
    written = {sealed.payload for sealed in WRITTEN}
    assert {entry.payload for entry in holder.history} <= written
    assert len(holder.history) >= 2


def _texts(pattern: str) -> list[bytes]:
    found = [path.read_bytes() for path in sorted(SCENARIOS.glob(pattern))]
    return [data for data in found if len(data) < MOST_SEED_BYTES]


_folder = Path(mkdtemp(prefix="tablesync-"))


def _read_at(read: Callable[[Path], object], suffix: str, data: bytes) -> None:
    path = _folder / f"read{suffix}"
    path.write_bytes(data)
    read(path)


def _read_rules(data: bytes) -> None:
    # As its reader is given it: what is no text at all is refused before.
    read_rule_file(data.decode(errors="replace"), "rules.toml")


# A sheet's file names these beside itself.
for beside in ("rosters", "rules"):
    copytree(SCENARIOS / beside, _folder / beside)

FRAMES = (
    Target("frames", _frames(), read_frame, mutated_frame),
    Target("relay", _frames(), give_to_relay, mutated_frame),
    Target("device", _frames(), give_to_device, mutated_frame),
    Target("courts", COURT_FRAMES, give_to_courts, mutated_frame),
    Target("door", DOOR_FRAMES, give_at_door, mutated_frame),
)
FILES = (
    Target("scenarios", _texts("*.jsonl"), partial(_read_at, read_scenario, ".jsonl")),
    Target(
        "rosters",
        _texts("rosters/*.csv"),
        partial(_read_at, lambda path: roster_at(path, rule_set("fiba-2024")), ".csv"),
    ),
    Target("rules", _texts("rules/*.toml"), _read_rules),
    Target("sheet-files", _texts("*.toml"), partial(_read_at, game_sheet_at, ".toml")),
    Target("sheets", [SHEET], read_sheet),
    Target(
        "records",
        [write_record(recorded(read_scenario(SCENARIOS / "clean-quarter.jsonl")))],
        read_record,
    ),
)
