"""A recorded game told in German."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mobile.texts import german_words as words
from mobile.texts.german_sentences import said
from tablesync.core.findings import How
from tablesync.replay.wording import Wording

if TYPE_CHECKING:
    from tablesync.core.acts import Seat
    from tablesync.core.game_clock import ClockReading
    from tablesync.core.rules import RuleSet

__all__ = ["REPLAY"]

_HOW = {
    How.AGREED: "Buch und Anzeige sind wieder gleich",
    How.STANDS: "beide lassen es stehen",
    How.LAPSED: "mit dem Abschnitt vorbei",
}


def _period(period: int, rules: RuleSet) -> str:
    if period > rules.periods:
        return f"V{period - rules.periods}"
    return f"{period}."


def _moment(reading: ClockReading, rules: RuleSet) -> str:
    if reading.period == 0:
        return "vorher"
    return f"{_period(reading.period, rules)} {words.time(reading.remaining_ms)}"


def _received_of(others: tuple[Seat, ...], count: int, of: int) -> str:
    whose = ", ".join(words.RECORDS[seat] for seat in others)
    return f"{count} von {of} ({whose})"


REPLAY = Wording(
    act=words.act,
    finding=words.finding,
    sentence=said,
    seat=words.RECORDS.__getitem__,
    item=words.ITEMS.__getitem__,
    how=_HOW.__getitem__,
    moment=_moment,
    period=_period,
    not_on_record=lambda entry: f"{entry}, nicht vorhanden",
    struck_later="später gestrichen",
    told="Meldung",
    found="gefunden",
    rather="eher",
    over="vorbei",
    item_of=lambda item, team: f"{item} {team}",
    received="erhalten",
    received_of=_received_of,
    last="zuletzt",
    nothing_yet="noch nichts",
    no_period="noch keiner",
    no_arrow="nicht gesetzt",
)
