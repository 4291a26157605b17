"""A figure of ours beside its limit, both taken in every round; only ratios count."""

from __future__ import annotations

import statistics
from dataclasses import dataclass, field
from enum import StrEnum

__all__ = ["Figure", "Goal", "line", "percentile", "table"]


class Goal(StrEnum):
    """On which side of its target a figure should lie."""

    AT_LEAST = "≥"
    AT_MOST = "≤"
    NONE = "none"
    """It has no target, and is told beside what has one."""


@dataclass(slots=True)
class Figure:
    """One row of the table."""

    what: str
    unit: str
    limit_is: str
    """What the limit is; where there is none the target is of ours itself."""
    goal: Goal
    target: float = 0.0
    ours: list[float] = field(default_factory=list)
    limits: list[float] = field(default_factory=list)

    def note(self, ours: float, limit: float | None = None) -> None:
        """Adds a round."""
        self.ours.append(ours)
        if limit is not None:
            self.limits.append(limit)

    @property
    def judged(self) -> list[float]:
        """What the target is about, round by round."""
        if not self.limits:
            return self.ours
        return [ours / lim for ours, lim in zip(self.ours, self.limits, strict=True)]

    @property
    def is_met(self) -> bool:
        """Whether the median is where it should be."""
        median = statistics.median(self.judged)
        match self.goal:
            case Goal.AT_LEAST:
                return median >= self.target
            case Goal.AT_MOST:
                return median <= self.target
            case Goal.NONE:
                return True

    @property
    def should_be(self) -> str:
        """Its target in words."""
        return "-" if self.goal is Goal.NONE else f"{self.goal} {self.target:g}"

    def as_json(self) -> dict[str, object]:
        """All that was measured."""
        return {
            "what": self.what,
            "unit": self.unit,
            "limit_is": self.limit_is,
            "ours": self.ours,
            "limits": self.limits,
            "judged": statistics.median(self.judged),
            "target": self.should_be,
            "is_met": self.is_met,
        }


def percentile(values: list[float], percent: float) -> float:
    """The value below which that share lies."""
    in_order = sorted(values)
    return in_order[min(len(in_order) - 1, int(len(in_order) * percent / 100))]


def _spread(values: list[float]) -> str:
    if not values:
        return "-"
    low, median, high = min(values), statistics.median(values), max(values)
    return f"{median:,.4g} ({low:,.4g} to {high:,.4g})"


def line(one: Figure) -> str:
    """One row of the table."""
    ratio = _spread(one.judged) if one.limits else "-"
    verdict = "met" if one.is_met else "missed"
    if one.goal is Goal.NONE:
        verdict = "noted"
    return (
        f"| {one.what} | {one.unit} | {_spread(one.ours)} | {_spread(one.limits)} "
        f"| {one.limit_is} | {ratio} | {one.should_be} | {verdict} |"
    )


def table(figures: list[Figure]) -> str:
    """The figures as a table in Markdown: medians, with the least and the greatest."""
    head = [
        "| what | unit | ours | limit | limit is | ratio | target | |",
        "| --- | --- | ---: | ---: | --- | ---: | ---: | --- |",
    ]
    return "\n".join([*head, *map(line, figures)])
