"""A sentence with gaps, which can be said in other languages than English.

The English form names the sentence: a language has a form of its own for each.
"""

from __future__ import annotations

from tablesync.frozen import dataclass

__all__ = ["Gap", "Sentence", "sentence"]

Gap = int | str


@dataclass(frozen=True, slots=True)
class Sentence:
    """What there is to say, and about what."""

    form: str
    """In English, each gap by its name in braces."""
    gaps: tuple[tuple[str, Gap], ...]
    """What stands in the gaps; some only other languages need."""

    def __str__(self) -> str:
        return self.form.format(**dict(self.gaps))


def sentence(form: str, **gaps: Gap) -> Sentence:
    """The sentence of an English form with these in its gaps."""
    return Sentence(form, tuple(gaps.items()))
