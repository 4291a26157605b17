"""What a chart shows, and which span of time a row of it shows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.chart.labels import ENGLISH
from tablesync.chart.pairing import pairing_of
from tablesync.frozen import dataclass
from tablesync.replay.finding_spans import spans_of
from tablesync.replay.receipts import stretches_apart

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from tablesync.chart.labels import Labels
    from tablesync.chart.pairing import Pairing
    from tablesync.core.acts import EntryId, Seat
    from tablesync.replay.finding_spans import Span
    from tablesync.replay.receipts import Apart
    from tablesync.replay.replay import Replay

__all__ = ["LEFT", "RIGHT", "WIDTH", "Scene", "Window", "scene_of"]

WIDTH = 1280.0
LEFT = 120.0
RIGHT = WIDTH - 30.0


@dataclass(frozen=True, slots=True)
class Window:
    """A span of table time, and where on the axis each moment of it lies."""

    from_ms: int
    to_ms: int

    def x(self, at_ms: int) -> float:
        """Where a time lies; times outside lie at the edge."""
        inside_ms = min(max(at_ms, self.from_ms), self.to_ms)
        share = (inside_ms - self.from_ms) / (self.to_ms - self.from_ms)
        return LEFT + share * (RIGHT - LEFT)

    def __contains__(self, at_ms: int) -> bool:
        return self.from_ms <= at_ms <= self.to_ms


@dataclass(frozen=True, slots=True)
class Scene:
    """What all rows of a chart draw from."""

    replay: Replay
    pairing: Pairing
    spans: Sequence[Span]
    chosen: frozenset[int]
    """The positions of the replay that the chart is about; the others are faint."""
    questioned: frozenset[EntryId]
    """The entries that findings are about."""
    struck: frozenset[EntryId]
    apart: Mapping[Seat, Sequence[Apart]]
    """When each seat entered without what the others had entered."""
    at_ms: int | None
    """The moment under question."""
    labels: Labels = ENGLISH

    def clock(self, at_ms: int) -> str:
        """What the game clock showed."""
        reading = self.replay.reading(at_ms)
        if reading.period == 0:
            return self.labels.before
        return self.labels.clock(reading.remaining_ms)


def scene_of(replay: Replay, positions: Sequence[int], at_ms: int | None) -> Scene:
    """The scene of a replay.

    Args:
        replay: the game.
        positions: those that the chart is about.
        at_ms: the moment under question, if there is one.
    """
    spans = spans_of(replay)
    named = (id_ for span in spans for _, id_ in span.finding.entries)
    records = (record.record for _, record in replay.end.records)
    return Scene(
        replay,
        pairing_of(replay),
        spans,
        frozenset(positions),
        frozenset(id_ for id_ in named if id_ is not None),
        frozenset(id_ for record in records for id_ in record.struck),
        {seat: stretches_apart(replay, seat) for seat in replay.seats},
        at_ms,
    )
