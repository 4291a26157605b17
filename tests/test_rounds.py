from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING

import pytest

from tablesync.clock import VirtualClock
from tablesync.core.acts import Note, Seat
from tablesync.core.vector_clock import VectorClock
from tablesync.errors import BadSignatureError
from tablesync.rounds import FEW, MOST_UNREAD, Rounds
from tablesync.seal import DeviceKey, Pen
from tablesync.sync.codec import decode, encode
from tablesync.sync.intake import Archive
from tablesync.sync.messages import PROTOCOL, Beat, Entries, Hello, Refusal, Sealed
from tablesync.sync.relay import RelayGame
from tests.sync.table import GAME, SHEET, TIMING

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from tablesync.core.entries import Entry
    from tablesync.sync.relay import RelaySide

KEYS = tuple(DeviceKey(bytes([n]) * 32) for n in range(1, FEW + 4))


class Shell:
    """Rounds with a game around them, and what they settled."""

    def __init__(self) -> None:
        self.game = RelayGame(Archive(GAME), SHEET, TIMING)
        self.settled: list[list[RelaySide]] = []
        self.rounds = Rounds(VirtualClock(0), self._settle)

    def _settle(self, sides: Sequence[RelaySide]) -> None:
        self.settled.append(list(sides))

    def join(self, key: DeviceKey, seat: Seat = Seat.BOOK) -> RelaySide:
        side = self.game.admit(Hello(PROTOCOL, GAME, key.device, seat, {}), 0)
        side.frames_to_send()
        return side


@pytest.fixture
async def shell() -> Shell:
    return Shell()


@pytest.fixture(autouse=True)
def ended(shell: Shell) -> Iterator[None]:
    yield
    shell.rounds.close()


def notes(key: DeviceKey, count: int) -> list[Entry]:
    pen = Pen(key, Seat.BOOK, GAME)
    return [pen.write(Note(str(n)), VectorClock(), n) for n in range(1, count + 1)]


def frame(payload: bytes, signature: bytes) -> bytes:
    return encode(Entries((Sealed(payload, signature),)))


async def test_what_comes_meanwhile_is_passed_on_in_one_frame(shell: Shell) -> None:
    book, watcher = shell.join(KEYS[0]), shell.join(KEYS[1])
    watcher.frames_to_send()
    entries = notes(KEYS[0], 20)
    for entry in entries:
        shell.rounds.put(book, frame(entry.payload, entry.signature))
    await shell.rounds.taken(book)
    said = [decode(sent) for sent in watcher.frames_to_send()]
    pages = [message for message in said if isinstance(message, Entries)]
    assert [len(page.entries) for page in pages] == [20]
    assert shell.settled == [[book]]


async def test_many_devices_are_verified_beside_the_loop(shell: Shell) -> None:
    sides = {key: shell.join(key) for key in KEYS}
    for key, side in sides.items():
        (entry,) = notes(key, 1)
        shell.rounds.put(side, frame(entry.payload, entry.signature))
    await asyncio.gather(*(shell.rounds.taken(side) for side in sides.values()))
    assert len(shell.game.holder.history) == len(KEYS)


async def test_one_forged_entry_among_many_costs_only_its_own_link(
    shell: Shell,
) -> None:
    sides = {key: shell.join(key) for key in KEYS}
    for key, side in sides.items():
        (entry,) = notes(key, 1)
        signature = bytes(64) if key is KEYS[0] else entry.signature
        shell.rounds.put(side, frame(entry.payload, signature))
    await asyncio.gather(*(shell.rounds.taken(side) for side in sides.values()))
    closing = [key for key, side in sides.items() if side.is_closing]
    assert closing == [KEYS[0]]
    last = decode(sides[KEYS[0]].frames_to_send()[-1])
    assert isinstance(last, Refusal)
    assert last.code == BadSignatureError.code
    assert len(shell.game.holder.history) == len(KEYS) - 1


async def test_who_sends_a_lot_is_read_no_further_until_it_is_taken(
    shell: Shell,
) -> None:
    side = shell.join(KEYS[0])
    beat = encode(Beat(0, 0, 0))
    fit = MOST_UNREAD // len(beat)
    has_sent_enough = [shell.rounds.put(side, beat) for _ in range(fit + 2)]
    assert has_sent_enough == [*[False] * fit, True, False]
    assert shell.settled == []
    await shell.rounds.taken(side)
    assert shell.settled == [[side]]
    assert not shell.rounds.put(side, beat)
    await shell.rounds.taken(side)


async def test_what_comes_while_a_round_is_verified_is_the_next_round(
    shell: Shell,
) -> None:
    sides = {key: shell.join(key) for key in KEYS}
    for key, side in sides.items():
        one, _ = notes(key, 2)
        shell.rounds.put(side, frame(one.payload, one.signature))
    await asyncio.sleep(0)
    for key, side in sides.items():
        _, two = notes(key, 2)
        shell.rounds.put(side, frame(two.payload, two.signature))
    await asyncio.gather(*(shell.rounds.taken(side) for side in sides.values()))
    assert len(shell.game.holder.history) == 2 * len(KEYS)
    assert len(shell.settled) == 2
