"""A recorded game at one moment as a page, and where a key leads from there."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import replace
from enum import Enum, auto
from typing import TYPE_CHECKING, TypeAlias

from tablesync.chart.row import row
from tablesync.chart.scene import Window, scene_of
from tablesync.core.acts import Seat, Side
from tablesync.core.findings import Raised
from tablesync.frozen import dataclass
from tablesync.plain_text import printable
from tablesync.replay.lines import Narrator
from tablesync.replay.moment_table import moment_rows
from tablesync.replay.replay import FindingStep

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mobile.texts.shape import Texts
    from tablesync.chart.drawing import Drawing
    from tablesync.replay.moment_table import Row
    from tablesync.replay.replay import Replay

__all__ = ["Move", "ReplayIntent", "ReplayPage", "ScrubTo", "Scrubber"]

SPANS_MS = (15_000, 30_000, 60_000, 120_000, 300_000)
"""How much time the lanes can show; closer and wider keys go along these."""
FIRST_SPAN = 2


class Move(Enum):
    """A step along the game, or closer to it."""

    FIRST = auto()
    BACK = auto()
    NEXT = auto()
    LAST = auto()
    FINDING_BACK = auto()
    FINDING_NEXT = auto()
    CLOSER = auto()
    WIDER = auto()


@dataclass(frozen=True, slots=True)
class ScrubTo:
    """A finger on the axis of the whole game."""

    share: float
    """From 0, its beginning, to 1, its end."""


ReplayIntent: TypeAlias = Move | ScrubTo


@dataclass(frozen=True, slots=True)
class ReplayPage:
    """Everything that is shown of one moment."""

    heading: str
    moment: str
    lanes: Drawing
    """Both lanes around the moment, which is marked."""
    columns: tuple[str, ...]
    """Whose record stands in which column."""
    rows: tuple[Row, ...]
    findings: tuple[str, ...]
    """What is open at the moment."""
    step: str
    """The last thing that had happened."""
    share: float
    """Where the moment lies in the whole game, 0 to 1."""
    found: tuple[float, ...]
    """Where in the whole game a mismatch was found."""
    place: str
    """Which step of how many it is."""


class Scrubber:
    """A place in a replay."""

    def __init__(self, replay: Replay, positions: Sequence[int]) -> None:
        """Begins with the first step.

        Args:
            replay: the game, which has steps.
            positions: the steps to stop at, in order; see `replay.filter.selected`.
        """
        self._replay = replay
        self._positions = positions
        self._findings = [
            at for at in positions if isinstance(replay.steps[at - 1], FindingStep)
        ]
        self._scene = scene_of(replay, positions, None)
        times = [step.at_ms for step in replay.steps]
        self._first_ms, self._last_ms = min(times, default=0), max(times, default=0)
        self._found = tuple(
            self._share(step.at_ms)
            for step in replay.steps
            if isinstance(step, FindingStep) and isinstance(step.event, Raised)
        )
        self._span = FIRST_SPAN
        self.position = positions[0] if positions else 0
        """How many steps are done."""
        self.at_ms = self._time_of(self.position)
        """The table time that is looked at."""

    def take(self, intent: ReplayIntent) -> None:
        """Goes where a key or a finger says; at an end it stays."""
        match intent:
            case ScrubTo(share=share):
                inside = min(max(share, 0.0), 1.0)
                length_ms = self._last_ms - self._first_ms
                self.go_to(self._first_ms + round(inside * length_ms))
            case Move.CLOSER:
                self._span = max(0, self._span - 1)
            case Move.WIDER:
                self._span = min(len(SPANS_MS) - 1, self._span + 1)
            case Move.FIRST:
                self._stop_at(self._positions[:1])
            case Move.LAST:
                self._stop_at(self._positions[-1:])
            case Move.NEXT:
                self._stop_at(_after(self._positions, self.position))
            case Move.BACK:
                self._stop_at(_before(self._positions, self.position))
            case Move.FINDING_NEXT:
                self._stop_at(_after(self._findings, self.position))
            case Move.FINDING_BACK:
                self._stop_at(_before(self._findings, self.position))

    def go_to(self, at_ms: int) -> None:
        """Looks at a table time, whether or not anything was done then."""
        self.at_ms = at_ms
        self.position = self._replay.position_at(at_ms)

    def _stop_at(self, positions: Sequence[int]) -> None:
        if positions:
            (self.position,) = positions
            self.at_ms = self._time_of(self.position)

    def _time_of(self, position: int) -> int:
        return self._replay.steps[position - 1].at_ms if position else self._first_ms

    def _share(self, at_ms: int) -> float:
        return (at_ms - self._first_ms) / max(1, self._last_ms - self._first_ms)

    def page(self, texts: Texts) -> ReplayPage:
        """What there is to see."""
        replay, wording = self._replay, texts.replay.wording()
        narrator = Narrator(replay, wording)
        moment = replace(replay.moment(self.position), at_ms=self.at_ms)
        home, away = (printable(replay.sheet.teams[side].name) for side in Side)
        score = moment.tally(Seat.BOOK).score
        half_ms = SPANS_MS[self._span] // 2
        window = Window(self.at_ms - half_ms, self.at_ms + half_ms)
        step = ""
        if self.position:
            line = narrator.line(self.position)
            number = f"#{line.number} " if line.number else ""
            step = f"{number}{line.moment}  {line.who}: {line.text}"
        return ReplayPage(
            f"{home} {score.home} : {score.away} {away}",
            texts.replay.moment(
                narrator.moment(self.at_ms), f"{narrator.at_s(moment):.1f}"
            ),
            row(
                replace(self._scene, at_ms=self.at_ms, labels=texts.replay.labels()),
                window,
            ),
            tuple(texts.strip.record(seat) for seat in replay.seats),
            moment_rows(replay, narrator, moment),
            tuple(printable(wording.finding(one, replay)) for one in moment.findings),
            step,
            self._share(self.at_ms),
            self._found,
            f"{self.position}/{len(replay.steps)}",
        )


def _after(positions: Sequence[int], position: int) -> Sequence[int]:
    at = bisect_right(positions, position)
    return positions[at : at + 1]


def _before(positions: Sequence[int], position: int) -> Sequence[int]:
    at = bisect_left(positions, position)
    return positions[max(0, at - 1) : at]
