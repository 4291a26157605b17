from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from mobile.desk_memory import keep_desk, recall_desk
from mobile.presenters.desk import Desk
from mobile.presenters.intents import (
    AskPlayer,
    AskWhy,
    ChoosePlayer,
    Fix,
    ForNote,
    ForProtest,
    ForSignature,
    FoulPlace,
    Page,
    Rows,
)
from tablesync.core.acts import Charged, EntryId, Side, Signer
from tablesync.core.tally import PerSide
from tablesync.core.vector_clock import DeviceId

if TYPE_CHECKING:
    from pathlib import Path

NINTH = EntryId(DeviceId(bytes(range(32))), 9)


@pytest.mark.parametrize(
    "desk",
    [
        Desk(),
        Desk(team=Side.AWAY, moving=Side.AWAY, picked=("4", "7")),
        Desk(page=Page.SET_CLOCK, digits="42.5"),
        Desk(page=Page.CLOSE_OUT),
        Desk(replacing=NINTH),
        Desk(kind_of=FoulPlace(Side.AWAY, "10", Charged.PLAYER)),
        Desk(kind_of=FoulPlace(Side.AWAY, None, Charged.BENCH)),
        Desk(team=Side.AWAY, chosen=ChoosePlayer(Side.AWAY, "10")),
        Desk(rows=PerSide(Rows.BENCH, Rows.COURT)),
        Desk(reason_for="0123456789ab", card=2),
        Desk(asked=AskPlayer(Side.AWAY, "add 2", None, "0123456789ab", 61_000)),
        Desk(replacing=NINTH, asked=AskPlayer(Side.HOME, "4", NINTH, "ba98", None)),
        Desk(page=Page.ENTRIES, leaf=3, why=AskWhy(NINTH, Fix.AMEND)),
        Desk(replacing=NINTH, reason="entered wrongly"),
        Desk(page=Page.WORDS, purpose=ForNote(), words='half a "note" — 3½\n'),
        Desk(page=Page.WORDS, purpose=ForProtest(Side.AWAY), words="the"),
        Desk(page=Page.WORDS, purpose=ForSignature(Signer.REFEREE), words="V. L"),
    ],
)
def test_what_was_begun_is_there_after_a_restart(desk: Desk, tmp_path: Path) -> None:
    keep_desk(desk, 17, tmp_path / "desk")
    assert recall_desk(17, tmp_path / "desk") == desk


def test_what_was_begun_before_a_later_entry_is_not_gone_on_with(
    tmp_path: Path,
) -> None:
    keep_desk(Desk(moving=Side.HOME, picked=("4",)), 17, tmp_path / "desk")
    assert recall_desk(18, tmp_path / "desk") == Desk()


@pytest.mark.parametrize("text", ["", "{", "[]", '{"entries": 17}', "\x00\x01"])
def test_a_memory_that_cannot_be_read_is_a_desk_at_rest(
    text: str, tmp_path: Path
) -> None:
    (tmp_path / "desk").write_text(text, encoding="utf-8")
    assert recall_desk(17, tmp_path / "desk") == Desk()


def test_no_memory_is_a_desk_at_rest(tmp_path: Path) -> None:
    assert recall_desk(0, tmp_path / "desk") == Desk()
