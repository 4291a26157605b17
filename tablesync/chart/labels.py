"""What stands on the lanes of a chart: what a language needs for it, and English."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.chart.act_tags import act_tag
from tablesync.core.act_words import clock_words
from tablesync.frozen import dataclass
from tablesync.replay.wording import seat_words

if TYPE_CHECKING:
    from collections.abc import Callable

    from tablesync.core.acts import Act, Seat
    from tablesync.replay.wording import Recorded

__all__ = ["ENGLISH", "Labels"]


@dataclass(frozen=True, slots=True)
class Labels:
    """How a language labels the lanes."""

    tag: Callable[[Act, Recorded], str]
    """An act in a few letters."""
    seat: Callable[[Seat], str]
    clock: Callable[[int], str]
    """A clock reading, from milliseconds."""
    before: str
    """In place of a reading, before the first period."""
    struck: str
    lacking: str
    """Where an act is missing."""
    differs: Callable[[str], str]
    """From that reading on."""
    shown: Callable[[str], str]
    """On those seats, each with its reading."""


ENGLISH = Labels(
    tag=lambda act, of: act_tag(act, of.sheet, of.rules),
    seat=seat_words,
    clock=clock_words,
    before="before",
    struck="struck",
    lacking="nothing here",
    differs=lambda clock: f"differs from {clock}",
    shown=lambda seats: f"shown on {seats}",
)
