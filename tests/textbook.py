"""Worked examples of vector clocks from the literature, as events and messages.

Each is a space-time diagram: processes with their events in order, and messages from
one event to another. Vectors and concurrent events are written down here, and never
computed by our own clocks; where a source shows only the figure, they were found by
counting each event's past in it.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["DIAGRAMS", "Diagram"]


@dataclass(frozen=True, slots=True)
class Diagram:
    """One worked example."""

    name: str
    source: str
    events: Mapping[str, tuple[str, ...]]
    """Process to its events, in order."""
    messages: Mapping[str, str]
    """Event of receipt to event of dispatch."""
    vectors: Mapping[str, tuple[int, ...]]
    """Event to its vector, one count a process in the order of `events`."""
    concurrent: frozenset[frozenset[str]]

    def direct_causes(self) -> dict[str, set[str]]:
        """Event to the event before it on its process, and the dispatch it receives."""
        causes: dict[str, set[str]] = {event: set() for event in self.vectors}
        for events in self.events.values():
            for before, event in pairwise(events):
                causes[event].add(before)
        for receipt, dispatch in self.messages.items():
            causes[receipt].add(dispatch)
        return causes

    def process_of(self, event: str) -> str:
        """The process on which an event happens."""
        return next(p for p, events in self.events.items() if event in events)


def _pairs(*groups: tuple[str, str]) -> frozenset[frozenset[str]]:
    """Every event of the first list with every event of the second."""
    return frozenset(
        frozenset({one, other})
        for ones, others in groups
        for one in ones.split()
        for other in others.split()
    )


THREE_PROCESSES = Diagram(
    name="three processes",
    source='figure of "Vector clock", en.wikipedia.org/wiki/Vector_clock; from memory',
    events={
        "A": ("A1", "A2", "A3", "A4"),
        "B": ("B1", "B2", "B3", "B4", "B5"),
        "C": ("C1", "C2", "C3", "C4", "C5"),
    },
    messages={
        "B1": "C1",
        "A1": "B2",
        "C2": "B3",
        "B4": "A2",
        "A3": "C3",
        "C4": "B5",
        "A4": "C5",
    },
    vectors={
        "A1": (1, 2, 1),
        "A2": (2, 2, 1),
        "A3": (3, 3, 3),
        "A4": (4, 5, 5),
        "B1": (0, 1, 1),
        "B2": (0, 2, 1),
        "B3": (0, 3, 1),
        "B4": (2, 4, 1),
        "B5": (2, 5, 1),
        "C1": (0, 0, 1),
        "C2": (0, 3, 2),
        "C3": (0, 3, 3),
        "C4": (2, 5, 4),
        "C5": (2, 5, 5),
    },
    concurrent=_pairs(("A1 A2", "B3 C2 C3"), ("A3", "B4 B5 C4 C5"), ("B4 B5", "C2 C3")),
)

TWO_MESSAGES = Diagram(
    name="two messages",
    source=(
        "Coulouris, Dollimore, Kindberg, Blair: Distributed Systems: Concepts and "
        "Design, chapter on time and global states, figure of events a to f; "
        "the figure from memory"
    ),
    events={"p1": ("a", "b"), "p2": ("c", "d"), "p3": ("e", "f")},
    messages={"c": "b", "f": "d"},
    vectors={
        "a": (1, 0, 0),
        "b": (2, 0, 0),
        "c": (2, 1, 0),
        "d": (2, 2, 0),
        "e": (0, 0, 1),
        "f": (2, 2, 2),
    },
    concurrent=_pairs(("e", "a b c d")),
)

PRACTICE_PROBLEM = Diagram(
    name="practice problem",
    source=(
        "George Mason University CS 706, practice problems, "
        "www.cs.gmu.edu/~rcarver/cs706/practice.txt; also Carver and Tai, "
        "Modern Multithreading, figure 6.28"
    ),
    events={
        "P": ("P1", "P2", "P3"),
        "Q": ("Q1", "Q2", "Q3", "Q4", "Q5"),
        "R": ("R1", "R2"),
    },
    messages={"Q1": "P1", "Q2": "R1", "P2": "Q3", "Q4": "P3", "Q5": "R2"},
    vectors={
        "P1": (1, 0, 0),
        "P2": (2, 3, 1),
        "P3": (3, 3, 1),
        "Q1": (1, 1, 0),
        "Q2": (1, 2, 1),
        "Q3": (1, 3, 1),
        "Q4": (3, 4, 1),
        "Q5": (3, 5, 2),
        "R1": (0, 0, 1),
        "R2": (0, 0, 2),
    },
    concurrent=_pairs(("R1", "P1 Q1"), ("R2", "P1 P2 P3 Q1 Q2 Q3 Q4")),
)

DIAGRAMS = (THREE_PROCESSES, TWO_MESSAGES, PRACTICE_PROBLEM)
