"""Whether what a scenario expects at a moment holds."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.acts import Seat
from tablesync.core.tally import PerSide

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from tablesync.core.acts import EntryId
    from tablesync.core.findings import Finding
    from tablesync.core.game import Game
    from tablesync.core.tally import Tally
    from tablesync.scenario import Expect, ExpectedFinding

__all__ = ["unmet"]


def unmet(
    expect: Expect, games: Mapping[Seat, Game], labels: Mapping[EntryId, str]
) -> Iterator[str]:
    """What does not hold, one sentence each.

    Args:
        expect: what should hold now.
        games: the game as each seat's device sees it.
        labels: the name of every entry made so far.
    """
    for seat in expect.seats:
        for what, value, wanted in _values(expect, games[seat].tally(seat)):
            if wanted is not None and value != wanted:
                is_not = f"{_shown(value)}, not {_shown(wanted)}"
                yield f"{what} of the {seat} seat is {is_not}"
    if expect.findings is not None:
        for seat in expect.seats:
            is_open = games[seat].open_findings()
            if not _are_those(is_open, expect.findings, labels):
                texts = "; ".join(finding.text for finding in is_open) or "none"
                yield f"the findings open at the {seat} seat are others: {texts}"


def _values(
    expect: Expect, tally: Tally
) -> Iterator[tuple[str, object, object | None]]:
    period = tally.period
    fouls = PerSide(*(tally.fouls_in(period, side) for side, _ in tally.score))
    yield "the score", tally.score, expect.score
    yield "the team fouls", fouls, expect.team_fouls
    yield "the time-outs", tally.time_outs, expect.time_outs
    yield "the period", period, expect.period


def _shown(value: object) -> str:
    if isinstance(value, PerSide):
        return f"{value.home}:{value.away}"
    return str(value)


def _are_those(
    is_open: tuple[Finding, ...],
    wanted: tuple[ExpectedFinding, ...],
    labels: Mapping[EntryId, str],
) -> bool:
    left = list(is_open)
    for one in wanted:
        match = next((f for f in left if _is_that(f, one, labels)), None)
        if match is None:
            return False
        left.remove(match)
    return not left


def _is_that(
    finding: Finding, wanted: ExpectedFinding, labels: Mapping[EntryId, str]
) -> bool:
    entries = (
        (wanted.book_entry, finding.entries[Seat.BOOK]),
        (wanted.board_entry, finding.entries[Seat.CLOCK]),
    )
    return (finding.item, finding.side, finding.cause) == (
        wanted.item,
        wanted.side,
        wanted.cause,
    ) and all(
        label is None or (id_ is not None and labels[id_] == label)
        for label, id_ in entries
    )
