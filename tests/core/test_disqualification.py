from __future__ import annotations

from tablesync.core.acts import OpenPeriod, Side
from tablesync.core.disqualification import coach_out_by, players_out
from tablesync.core.rulesets import rule_set
from tests.scribe import BookDesk, bench_foul, coach_foul, foul

FIBA = rule_set("fiba-2024")
HOME = Side.HOME


def test_who_is_out_and_why() -> None:
    """FIBA Art. 40, 36/37 and 36.3.4."""
    desk = BookDesk(FIBA)
    desk.enter(OpenPeriod(1), *[foul(HOME, "4")] * 5, *[foul(HOME, "5")] * 4)
    desk.enter(*[foul(HOME, "6", "technical")] * 2)
    page = desk.book.pages[HOME]
    assert players_out(page, FIBA.fouls) == {
        "4": "5th foul",
        "6": "two technical fouls",
    }
    assert coach_out_by(page, FIBA.fouls) is None
    desk.enter(bench_foul(HOME), coach_foul(HOME))
    assert coach_out_by(page, FIBA.fouls) is None
    desk.enter(coach_foul(HOME))
    assert coach_out_by(page, FIBA.fouls) == "two technical fouls of the coach's own"
