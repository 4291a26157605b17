from __future__ import annotations

from tablesync.core.finding_words import how_words, item_words
from tablesync.core.findings import How
from tablesync.core.tally import Item


def test_every_item_and_every_end_has_words_of_its_own() -> None:
    words = [*map(item_words, Item), *map(how_words, How)]
    assert len(set(words)) == len(words)
    assert all("_" not in one for one in words)
