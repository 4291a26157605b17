"""A game goes out of a store as a file and comes into another one unchanged."""

from __future__ import annotations

import asyncio
import io
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from rich.console import Console

from tablesync.box_score import box_score, score_by_period
from tablesync.core.acts import Note, Seat, Side, Signer, SignOff
from tablesync.core.game import Game
from tablesync.core.merkle import MerkleTree
from tablesync.core.vector_clock import VectorClock
from tablesync.errors import BadInputError, RecordFileError, StorageError
from tablesync.final import final_of
from tablesync.record.file import write_record
from tablesync.record.record import Admitted, Countersigned
from tablesync.record.verification import examine, open_record
from tablesync.scenario import Scenario, read_scenario
from tablesync.seal import Pen
from tablesync.sheet_bytes import game_id, write_sheet
from tablesync.store import Store
from tablesync.stored_games import (
    export_game,
    game_named,
    import_record,
    opened_store,
    stored_games,
)
from tests.entering import KEYS, Entered, entered
from tests.realgames import GAMES, needs_real_games
from tests.recording import real_scenario, record_of, recorded, signed_head
from tests.telling import told_entries

if TYPE_CHECKING:
    from tablesync.core.entries import Entry

PATHS = sorted(Path("scenarios").glob("*.jsonl"))
MISSED = read_scenario(Path("scenarios/basket-missed-on-the-board.jsonl"))
MADE = entered(MISSED)
GAME = MADE.game
SHEET = write_sheet(MISSED.sheet)


async def stored(path: Path, sheet: bytes, entries: tuple[Entry, ...]) -> bytes:
    """Stores a game as a relay does, and exports it."""
    game = game_id(sheet)
    async with await Store.open(path) as store:
        store.keep_sheet(game, sheet)
        await store.append(game, entries)
        return await export_game(store, game)


async def imported(path: Path, data: bytes) -> int:
    async with await Store.open(path) as store:
        return await import_record(store, open_record(data))


async def exported(path: Path, game: bytes) -> bytes:
    async with await opened_store(path) as store:
        return await export_game(store, game)


def printed(game: Game) -> str:
    """Everything that is printed of a game in the end."""
    out = io.StringIO()
    console = Console(file=out, width=140)
    console.print(score_by_period(game), *(box_score(game, side) for side in Side))
    findings = "\n".join(f"{f.id} {f.text}" for f in game.open_findings())
    return f"{final_of(game)}\n{out.getvalue()}\n{findings}"


def assert_out_and_in(scenario: Scenario, made: Entered, folder: Path) -> None:
    sheet = write_sheet(scenario.sheet)
    data = asyncio.run(stored(folder / "one.db", sheet, made.entries))
    examined = examine(data)
    assert examined.is_sound
    assert examined.opened is not None
    assert examined.opened.entries == made.entries
    assert asyncio.run(imported(folder / "two.db", data)) == len(made.entries)
    again = asyncio.run(exported(folder / "two.db", made.game))
    assert again == data
    original = Game(scenario.sheet, scenario.rules, made.game)
    for entry in made.entries:
        original.receive(entry)
    original.conclude()
    assert printed(open_record(again).concluded()) == printed(original)


@pytest.mark.parametrize("path", PATHS, ids=lambda path: path.stem)
def test_a_scenario_goes_out_is_sound_and_comes_in_elsewhere(
    path: Path, tmp_path: Path
) -> None:
    scenario = read_scenario(path)
    assert_out_and_in(scenario, entered(scenario), tmp_path)


@needs_real_games
@pytest.mark.parametrize("name", GAMES[:20])
def test_a_real_game_goes_out_is_sound_and_comes_in_elsewhere(
    name: str, tmp_path: Path
) -> None:
    scenario = real_scenario(name, tmp_path, slips=4)
    assert_out_and_in(scenario, entered(scenario), tmp_path)


def test_every_device_is_said_to_be_admitted_by_the_relays_list(tmp_path: Path) -> None:
    opened = open_record(asyncio.run(stored(tmp_path / "s.db", SHEET, MADE.entries)))
    assert opened.record.admitted == tuple(
        sorted(
            (Admitted(KEYS[s].device, s) for s in (Seat.BOOK, Seat.CLOCK)),
            key=lambda one: one.device,
        )
    )


def test_checkpoints_and_admissions_outlive_a_store(tmp_path: Path) -> None:
    record = recorded(MISSED, MADE, sizes=(10, 20))
    asyncio.run(imported(tmp_path / "s.db", write_record(record)))
    out = open_record(asyncio.run(exported(tmp_path / "s.db", GAME)))
    assert out.record.checkpoints == record.checkpoints
    assert set(out.record.admitted) == set(record.admitted)
    assert out.record.software[0] == record.software[0]


def test_a_later_record_of_the_same_game_adds_what_is_new(tmp_path: Path) -> None:
    record = recorded(MISSED, MADE)
    shorter = write_record(replace(record, entries=record.entries[:12]))
    longer = write_record(record)
    path = tmp_path / "s.db"
    assert asyncio.run(imported(path, shorter)) == 12
    assert asyncio.run(imported(path, longer)) == len(MADE.entries) - 12
    assert asyncio.run(imported(path, longer)) == 0
    assert asyncio.run(imported(path, shorter)) == 0
    assert open_record(asyncio.run(exported(path, GAME))).entries == MADE.entries


def test_a_store_that_has_the_entries_in_another_order_keeps_its_own(
    tmp_path: Path,
) -> None:
    """Else a checkpoint, signed for the order of the file, would not fit any more."""
    made = entered(MISSED, delay_ms=10**9)
    by_seat = tuple(sorted(made.entries, key=lambda entry: entry.seat))
    path = tmp_path / "s.db"
    before = asyncio.run(stored(path, SHEET, by_seat))
    other = write_record(recorded(MISSED, made))
    with pytest.raises(RecordFileError, match="in another order"):
        asyncio.run(imported(path, other))
    assert asyncio.run(exported(path, GAME)) == before


def test_a_checkpoint_kept_for_a_game_goes_out_with_it(tmp_path: Path) -> None:
    tree = MerkleTree(entry.digest for entry in MADE.entries)
    checkpoint = Countersigned(signed_head(tree.head(), 1, GAME), ())
    record = replace(recorded(MISSED, MADE), checkpoints=(checkpoint,))
    asyncio.run(imported(tmp_path / "s.db", write_record(record)))
    out = open_record(asyncio.run(exported(tmp_path / "s.db", GAME)))
    assert out.record.checkpoints == (checkpoint,)


def test_a_fork_goes_out_and_in_with_both_branches(tmp_path: Path) -> None:
    pen = Pen(KEYS[Seat.BOOK], Seat.BOOK, GAME)
    fork = pen.write(Note("another branch"), VectorClock(), 0)
    data = asyncio.run(stored(tmp_path / "a.db", SHEET, (*MADE.entries, fork)))
    assert not examine(data).is_sound
    assert asyncio.run(imported(tmp_path / "b.db", data)) == len(MADE.entries) + 1
    assert asyncio.run(exported(tmp_path / "b.db", GAME)) == data


def test_a_game_is_named_by_the_start_of_its_id(tmp_path: Path) -> None:
    async def named(name: str) -> bytes:
        async with await Store.open(tmp_path / "s.db") as store:
            return await game_named(store, name)

    with pytest.raises(BadInputError, match="0 games are called 'aa'; expected the"):
        asyncio.run(named("aa"))
    asyncio.run(stored(tmp_path / "s.db", SHEET, ()))
    assert asyncio.run(named(GAME.hex()[:8].upper())) == GAME
    other = write_sheet(replace(MISSED.sheet, mark="again"))
    asyncio.run(stored(tmp_path / "s.db", other, ()))
    with pytest.raises(BadInputError, match="2 games are called ''"):
        asyncio.run(named(""))


def test_games_are_told_in_short_with_who_has_still_to_sign(tmp_path: Path) -> None:
    signatures = told_entries(
        (1_000, Seat.CLOCK, Note("here")),
        (2_000, Seat.BOOK, SignOff(Signer.SCORER, "I. Wetherby")),
        (3_000, Seat.BOOK, SignOff(Signer.REFEREE, "P. Calder")),
    )
    path = tmp_path / "s.db"
    asyncio.run(imported(path, write_record(record_of(signatures))))
    asyncio.run(imported(path, write_record(recorded(MISSED, MADE))))

    async def told() -> list[tuple[int, bool, tuple[Signer, ...]]]:
        async with await opened_store(path) as store:
            games = await stored_games(store)
        return [(one.entries, one.is_closed, one.unsigned) for one in games]

    assert asyncio.run(told()) == [
        (3, True, (Signer.TIMER,)),
        (len(MADE.entries), False, tuple(Signer)),
    ]


def test_a_store_that_is_not_there_is_not_made_by_asking_for_a_game(
    tmp_path: Path,
) -> None:
    with pytest.raises(StorageError, match="there is no such store"):
        asyncio.run(exported(tmp_path / "none.db", GAME))
    assert not (tmp_path / "none.db").exists()


def test_what_is_forgotten_is_gone_and_the_rest_stays(tmp_path: Path) -> None:
    other = write_sheet(replace(MISSED.sheet, mark="again"))
    path = tmp_path / "s.db"
    asyncio.run(imported(path, write_record(recorded(MISSED, MADE, sizes=(5,)))))
    kept = asyncio.run(stored(path, other, ()))

    async def forget() -> list[bytes]:
        async with await Store.open(path) as store:
            await store.forget(GAME)
            assert await store.evidence(GAME) == ()
            return await store.games()

    assert asyncio.run(forget()) == [game_id(other)]
    assert asyncio.run(exported(path, game_id(other))) == kept
    with pytest.raises(StorageError, match="has no sheet of game"):
        asyncio.run(exported(path, GAME))
