"""A play as JSON Lines, for machines: findings, clearings, notices, the end."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.acts import Seat, Side
from tablesync.core.findings import Cleared, Raised, Revised
from tablesync.final import final_of
from tablesync.play.happenings import Checked, Ended, Noticed

if TYPE_CHECKING:
    from collections.abc import Mapping

    from tablesync.core.acts import EntryId
    from tablesync.core.findings import Finding
    from tablesync.play.happenings import Happening

__all__ = ["json_line"]


def json_line(
    happening: Happening, labels: Mapping[EntryId, str]
) -> dict[str, object] | None:
    """The line for a happening, or None where there is none for it.

    Args:
        happening: what happened; times go out in seconds of the scenario.
        labels: the name of every entry made so far.
    """
    match happening:
        case Checked(_, Raised(finding) | Revised(finding)):
            return {"finding": _finding(finding, labels)}
        case Checked(t_ms, Cleared() as cleared):
            return {
                "cleared": {
                    "id": cleared.id,
                    "at": t_ms / 1000,
                    "how": str(cleared.how),
                }
            }
        case Noticed(t_ms, notice):
            return {
                "notice": {
                    "kind": str(notice.kind),
                    "side": _plain(notice.side),
                    "number": notice.number,
                    "at": t_ms / 1000,
                    "text": notice.text,
                }
            }
        case Ended(_, game):
            return {"final": final_of(game)}
        case _:
            return None


def _finding(finding: Finding, labels: Mapping[EntryId, str]) -> dict[str, object]:
    entries = dict(finding.entries)
    values = dict(finding.values)
    return {
        "id": finding.id,
        "item": str(finding.item),
        "side": _plain(finding.side),
        "cause": str(finding.cause),
        "book_entry": _label(entries[Seat.BOOK], labels),
        "board_entry": _label(entries[Seat.CLOCK], labels),
        "book": _plain(values[Seat.BOOK]),
        "board": _plain(values[Seat.CLOCK]),
        "raised_at": finding.raised_at_ms / 1000,
        "text": finding.text,
    }


def _label(id_: EntryId | None, labels: Mapping[EntryId, str]) -> str | None:
    return None if id_ is None else labels[id_]


def _plain(value: Side | int | None) -> str | int | None:
    return str(value) if isinstance(value, Side) else value
