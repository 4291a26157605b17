"""Steps and moments of a replay as plain values for JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.act_forms import form_of
from tablesync.core.acts import Side
from tablesync.core.findings import Cleared, Raised
from tablesync.final import board_values, book_values
from tablesync.replay.replay import EntryStep, FindingStep, NoticeStep

if TYPE_CHECKING:
    from tablesync.core.entries import Entry
    from tablesync.core.findings import Finding
    from tablesync.core.notices import Notice
    from tablesync.core.vector_clock import VectorClock
    from tablesync.replay.lines import Line
    from tablesync.replay.replay import Moment, Replay

__all__ = ["moment_values", "step_values"]


def step_values(replay: Replay, line: Line) -> dict[str, object]:
    """The step that a line tells."""
    step = replay.steps[line.position - 1]
    head = {
        "position": line.position,
        **_time(replay, step.at_ms),
        "text": line.text,
    }
    match step:
        case EntryStep(entry=entry):
            return {**head, "entry": {"number": line.number, **_entry(entry)}}
        case NoticeStep(notice=notice):
            return {**head, "notice": _notice(notice)}
        case FindingStep(event=Cleared(how=how), finding=finding):
            return {**head, "cleared": {"id": finding.id, "how": str(how)}}
        case FindingStep(event=event, finding=finding):
            kind = "raised" if isinstance(event, Raised) else "revised"
            return {**head, kind: _finding(finding)}


def moment_values(replay: Replay, moment: Moment) -> dict[str, object]:
    """Everything that is known of a moment."""
    board = moment.board.tally
    periods = max(moment.book.tally.period, board.period)
    return {
        "position": moment.position,
        **_time(replay, moment.at_ms),
        "book": book_values(moment.book, periods),
        "board": board_values(board, periods),
        "findings": [_finding(finding) for finding in moment.findings],
        "knew": {str(seat): _clock(clock) for seat, clock in moment.knew},
        "received": {
            str(seat): {"count": received.count, "of": received.of}
            for seat, received in moment.others
        },
        "last": {str(seat): entry and _entry(entry) for seat, entry in moment.last},
    }


def _time(replay: Replay, at_ms: int) -> dict[str, object]:
    first_ms = replay.steps[0].at_ms if replay.steps else 0
    reading = replay.reading(at_ms)
    return {
        "table_ms": at_ms,
        "at": (at_ms - first_ms) / 1_000,
        "clock": {
            "period": reading.period,
            "remaining": reading.remaining_ms / 1_000,
            "running": reading.running,
        },
    }


def _entry(entry: Entry) -> dict[str, object]:
    form = form_of(entry.act)
    return {
        "id": str(entry.id),
        "device": entry.id.device.hex(),
        "seat": str(entry.seat),
        "table_ms": entry.table_time_ms,
        "seen": _clock(entry.seen),
        "digest": entry.digest.hex(),
        "act": {"act": form.name, **_fields(form.write(entry.act))},
    }


def _fields(values: dict[str, object]) -> dict[str, object]:
    return {name: _plain(value) for name, value in values.items()}


def _plain(value: object) -> object:
    match value:
        case bytes():
            return value.hex()
        case list():
            return [_plain(item) for item in value]
        case _:
            return value


def _clock(clock: VectorClock) -> dict[str, int]:
    return {device.hex(): number for device, number in clock.items()}


def _finding(finding: Finding) -> dict[str, object]:
    return {
        "id": finding.id,
        "item": str(finding.item),
        "side": finding.side and str(finding.side),
        "cause": str(finding.cause),
        "entries": {str(seat): id_ and str(id_) for seat, id_ in finding.entries},
        "values": {
            str(seat): str(value) if isinstance(value, Side) else value
            for seat, value in finding.values
        },
        "raised_ms": finding.raised_at_ms,
        "text": finding.text,
    }


def _notice(notice: Notice) -> dict[str, object]:
    return {
        "id": notice.id,
        "kind": str(notice.kind),
        "side": str(notice.side),
        "number": notice.number,
        "entry": str(notice.entry),
    }
