"""Where a value of a rule set comes from, and how sure that is."""

from __future__ import annotations

from enum import StrEnum

from tablesync.frozen import dataclass

__all__ = [
    "Source",
    "Sureness",
    "league",
    "memory",
    "read",
    "second_hand",
    "unknown",
]


class Sureness(StrEnum):
    """How far a value can be trusted."""

    READ = "text read"
    """An excerpt of the rule, or an official body's page, says so."""
    SECOND_HAND = "second-hand copy only"
    MEMORY = "from memory, not verified"
    UNKNOWN = "not established"
    """No value is given, or one that must not be relied on."""
    LEAGUE = "the league's own"


@dataclass(frozen=True, slots=True)
class Source:
    """The place in a code, and how sure the value is."""

    article: str
    """Article, rule or case of the code; empty where none is known."""
    sureness: Sureness

    def __str__(self) -> str:
        if self.sureness is Sureness.READ:
            return self.article
        return f"{self.article}; {self.sureness}" if self.article else self.sureness


def read(article: str) -> Source:
    """The rule's text was read."""
    return Source(article, Sureness.READ)


def second_hand(article: str) -> Source:
    """Somebody's account of the rule was read."""
    return Source(article, Sureness.SECOND_HAND)


def memory(article: str = "") -> Source:
    """Written from knowledge of the books."""
    return Source(article, Sureness.MEMORY)


def unknown(article: str = "") -> Source:
    """Nobody looked it up."""
    return Source(article, Sureness.UNKNOWN)


def league() -> Source:
    """A league has set it for itself."""
    return Source("", Sureness.LEAGUE)
