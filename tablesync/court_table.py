"""The courts of a relay as a table to read, and each court as plain values."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.table import Table
from rich.text import Text

from tablesync.core.act_words import clock_words
from tablesync.core.court_state import CourtState, ranked, state_of
from tablesync.core.words import ordinal
from tablesync.plain_text import printable

if TYPE_CHECKING:
    from collections.abc import Iterable

    from tablesync.core.summary import Linked, Summary, Tallied
    from tablesync.core.tally import PerSide

__all__ = ["court_table", "court_values"]

_LOOKS = {
    CourtState.MISMATCH: ("≠", "bold red"),
    CourtState.CUT_OFF: ("∅", "bold yellow"),
    CourtState.SETTLING: ("…", "cyan"),
    CourtState.AGREED: ("=", "green"),
    CourtState.QUIET: ("·", "dim"),
}


def court_table(summaries: Iterable[Summary], now_ms: int, most_rows: int) -> Table:
    """The courts, the one that needs help most first.

    Args:
        summaries: the courts.
        now_ms: the relay's clock, from which ages are counted.
        most_rows: how many courts there is room for; the rest are counted.
    """
    courts = ranked(summaries)
    table = Table(expand=True, title=_counts(courts), title_justify="left")
    for column in ("Court", "", "Book", "Board", "Clock"):
        table.add_column(column, no_wrap=True)
    table.add_column("What is open", ratio=2)
    table.add_column("Links", ratio=1)
    table.add_column("Last entry", ratio=1, no_wrap=True)
    for one in courts[:most_rows]:
        mark, style = _LOOKS[state_of(one)]
        cells = (
            one.named.court or one.named.title,
            f"{mark} {state_of(one).value}",
            _record(one.book),
            _record(one.board),
            _clock(one, now_ms),
            _open(one, now_ms),
            _links(one, now_ms),
            _last(one, now_ms),
        )
        table.add_row(*(Text(printable(cell)) for cell in cells), style=style)
    return table


def _counts(courts: list[Summary]) -> str:
    states = [state_of(one) for one in courts]
    counts = (f"{states.count(s)} {s.value}" for s in CourtState if s in states)
    many = "1 court" if len(courts) == 1 else f"{len(courts)} courts"
    return f"{many}: {', '.join(counts)}" if courts else "no courts"


def _record(tally: Tallied) -> str:
    return f"{_pair(tally.score)}  fouls {_pair(tally.fouls)}"


def _pair(pair: PerSide[int]) -> str:
    return f"{pair.home}:{pair.away}"


def _clock(one: Summary, now_ms: int) -> str:
    period = max(one.book.period, one.board.period)
    if not period:
        return "not begun"
    before_overtime = one.named.periods
    title = (
        f"OT{period - before_overtime}" if period > before_overtime else ordinal(period)
    )
    shown = clock_words(one.played.remaining_at(now_ms))
    return f"{title} {shown}{' ▸' if one.played.running else ''}"


def _open(one: Summary, now_ms: int) -> str:
    if not one.findings.count:
        if one.waiting.count:
            age = _age(one.waiting.since_ms, now_ms)
            return f"{one.waiting.count} awaited, {age}"
        return "signed" if one.written.is_signed else ""
    oldest = one.findings.oldest[0]
    others = one.findings.count - 1
    more = f" (and {others} more)" if others else ""
    return f"{_age(oldest.raised_at_ms, now_ms)}: {oldest.text}{more}"


def _links(one: Summary, now_ms: int) -> str:
    asks = [
        f"{newcomer.device.hex()[:8]} asks for {newcomer.seat}"
        for newcomer in one.asked.newcomers
    ]
    links = [_link(link, now_ms) for link in (one.scorer, one.timer)]
    return ", ".join(words for words in asks + links if words)


def _link(link: Linked, now_ms: int) -> str:
    if link.devices == 1:
        return ""
    if link.devices:
        return f"{link.devices} devices claim the {link.seat} seat"
    if not link.heard_ms:
        return f"{link.seat} never heard"
    return f"{link.seat} silent for {_age(link.heard_ms, now_ms)}"


def _last(one: Summary, now_ms: int) -> str:
    written = one.written
    if written.seat is None:
        return ""
    return f"{_age(written.at_ms, now_ms)} ago, {written.seat}: {written.text}"


def _age(since_ms: int, now_ms: int) -> str:
    seconds = max(0, now_ms - since_ms) // 1_000
    return f"{seconds} s" if seconds < 120 else f"{seconds // 60} min"


def court_values(game: bytes, one: Summary, now_ms: int) -> dict[str, object]:
    """One court as plain values for JSON; all times in seconds, ages counted to now."""
    return {
        "game": game.hex(),
        "court": one.named.court,
        "title": one.named.title,
        "teams": {str(side): name for side, name in one.named.teams},
        "state": state_of(one).value,
        "book": _tally_values(one.book),
        "board": _tally_values(one.board),
        "clock": {
            "period": one.played.period,
            "remaining_s": one.played.remaining_at(now_ms) / 1_000,
            "running": one.played.running,
        },
        "open_findings": one.findings.count,
        "findings": [
            {"id": f.id, "text": f.text, "age_s": _age_s(f.raised_at_ms, now_ms)}
            for f in one.findings.oldest
        ],
        "awaited": {
            "count": one.waiting.count,
            "age_s": _age_s(one.waiting.since_ms, now_ms) if one.waiting.count else 0,
        },
        "links": {
            str(link.seat): {
                "devices": link.devices,
                "silent_s": None
                if link.devices or not link.heard_ms
                else _age_s(link.heard_ms, now_ms),
            }
            for link in (one.scorer, one.timer)
        },
        "asking": [
            {"device": newcomer.device.hex(), "seat": str(newcomer.seat)}
            for newcomer in one.asked.newcomers
        ],
        "entries": one.written.entries,
        "last_entry": None
        if one.written.seat is None
        else {
            "seat": str(one.written.seat),
            "text": one.written.text,
            "age_s": _age_s(one.written.at_ms, now_ms),
        },
        "signed": one.written.is_signed,
    }


def _tally_values(tally: Tallied) -> dict[str, object]:
    return {
        "score": {str(side): n for side, n in tally.score},
        "team_fouls": {str(side): n for side, n in tally.fouls},
        "time_outs": {str(side): n for side, n in tally.time_outs},
        "period": tally.period,
        "arrow": None if tally.arrow is None else str(tally.arrow),
    }


def _age_s(since_ms: int, now_ms: int) -> float:
    return max(0, now_ms - since_ms) / 1_000
