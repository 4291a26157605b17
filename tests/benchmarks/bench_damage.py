"""Flips bits in journals and stores, and cuts them short, and reads what is left.

    python -m tests.benchmarks.bench_damage [--files N] [--seed S]

Whatever was done to a file, it is read in whole, in part, or refused in words; an entry
that was never written must not come out of it.
"""

from __future__ import annotations

import argparse
import asyncio
import sys
import tempfile
from collections import Counter
from pathlib import Path
from random import Random

from tablesync.core.acts import Seat
from tablesync.errors import CorruptJournalError, StorageError
from tablesync.journal import Journal
from tablesync.store import Store
from tablesync.sync.claim import Standing
from tablesync.sync.intake import Archive
from tests.sync.table import GAME, KEYS, SHEET, claim_of
from tests.test_storage_contract import notes

WRITTEN = notes(60)
SILENT = "short, and not said"


async def make(folder: Path) -> list[Path]:
    """A journal and a store with the same entries."""
    journal_path, store_path = folder / "whole.journal", folder / "whole.db"
    claim = claim_of(KEYS[0], Seat.BOOK)
    async with await Journal.create(journal_path, claim) as journal:
        await journal.append(WRITTEN, Standing())
    async with await Store.open(store_path) as store:
        await store.keep_sheet(GAME, SHEET)
        await store.append(GAME, WRITTEN)
    return [journal_path, store_path]


def damaged(data: bytes, random: Random) -> bytes:
    """The file with one to three bits flipped, or cut short."""
    broken = bytearray(data)
    if random.random() < 0.3:
        return bytes(broken[: random.randrange(len(broken))])
    for _ in range(random.randint(1, 3)):
        broken[random.randrange(len(broken))] ^= 1 << random.randrange(8)
    return bytes(broken)


async def read(path: Path) -> tuple[str, Archive]:
    """How the file could be read, and what came out."""
    archive = Archive(GAME)
    try:
        if path.suffix == ".db":
            async with await Store.open(path) as store:
                await store.read_into(GAME, archive)
        else:
            async with await Journal.open(path) as journal:
                await journal.read_into(archive)
    except CorruptJournalError:
        return "read in part, and said so", archive
    except StorageError:
        return "refused", archive
    if len(archive.history) == len(WRITTEN):
        return "whole", archive
    return SILENT, archive


def measure(files: int, seed: int) -> int:
    random, wrong = Random(seed), 0
    written = {entry.digest for entry in WRITTEN}
    with tempfile.TemporaryDirectory() as folder:
        for whole in asyncio.run(make(Path(folder))):
            data, told = whole.read_bytes(), Counter[str]()
            for number in range(files // 2):
                path = Path(folder) / f"{number}{whole.suffix}"
                path.write_bytes(damaged(data, random))
                how, archive = asyncio.run(read(path))
                told[how] += 1
                wrong += not {e.digest for e in archive.history} <= written
                wrong += how == SILENT
                for left in Path(folder).glob(f"{number}{whole.suffix}*"):
                    left.unlink()
            print(whole.suffix, dict(told))
    print(f"{wrong} files gave an entry that was never written, or too few silently")
    return wrong


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--files", type=int, default=2_000)
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args()
    sys.exit(1 if measure(arguments.files, arguments.seed) else 0)


if __name__ == "__main__":
    main()
