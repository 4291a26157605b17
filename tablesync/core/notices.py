"""What the table must tell the referees, at the entry that causes it, once.

Some notices follow from how the book stands: a fifth foul, a bonus. They are told when
that becomes so, and again only if it had ceased to be so in between, by a strike. The
others concern one entry: points for somebody who is not on court.
"""

from __future__ import annotations

from hashlib import sha256
from typing import TYPE_CHECKING

from tablesync.core.entry_notices import ENTRY_NOTICES
from tablesync.core.scene import NoticeKind, Saying, Scene
from tablesync.core.standing_notices import STANDING_NOTICES
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from tablesync.core.acts import EntryId, Side
    from tablesync.core.book import Book
    from tablesync.core.entries import Entry
    from tablesync.core.game_clock import GameClock
    from tablesync.core.rules import RuleSet
    from tablesync.core.sentence import Sentence
    from tablesync.core.sheet import GameSheet

__all__ = ["Notice", "NoticeKind", "Notices"]


@dataclass(frozen=True, slots=True)
class Notice:
    """One thing to tell: a short sentence, and what it is about."""

    id: str
    """12 hexadecimal digits, the same for every holder of the entry."""
    kind: NoticeKind
    side: Side
    number: str | None
    """The player concerned; None for the team or its coach."""
    says: Sentence
    entry: EntryId
    """The entry that caused it."""
    at_ms: int
    """The table time of that entry."""

    @property
    def text(self) -> str:
        """What there is to tell, in English."""
        return str(self.says)


class Notices:
    """The notices of one book, fed entry by entry beside it."""

    def __init__(self, sheet: GameSheet, rules: RuleSet) -> None:
        self._sheet = sheet
        self._rules = rules
        self._standing: frozenset[Saying] = frozenset()

    def after(
        self, entry: Entry, book: Book, clock: GameClock | None
    ) -> tuple[Notice, ...]:
        """What there is to tell because of an entry.

        Args:
            entry: one that the book has just taken; every one, in its order.
            book: the book with it.
            clock: the clock seat's, as far as it is held; None without that seat.
        """
        scene = Scene(self._sheet, self._rules, book, clock, entry)
        standing = [saying for look in STANDING_NOTICES for saying in look(scene)]
        told = [saying for saying in standing if saying not in self._standing]
        self._standing = frozenset(standing)
        if book.record.counts(entry):
            told += [saying for look in ENTRY_NOTICES for saying in look(scene)]
        return tuple(_notice(saying, entry) for saying in told)


def _notice(saying: Saying, entry: Entry) -> Notice:
    about = f"{saying.kind}:{saying.side}:{saying.number}:{saying.says}"
    name = f"{about}:{entry.id.device.hex()}:{entry.id.number}"
    return Notice(
        sha256(name.encode()).hexdigest()[:12],
        saying.kind,
        saying.side,
        saying.number,
        saying.says,
        entry.id,
        entry.table_time_ms,
    )
