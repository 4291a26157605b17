"""When a device must be heard: a new finding, a notice, a signal that is due."""

from __future__ import annotations

from enum import Enum
from typing import TYPE_CHECKING

from mobile.presenters.cards import CardKind
from mobile.presenters.timers import Signal

if TYPE_CHECKING:
    from collections.abc import Iterable

    from mobile.presenters.cards import Card
    from mobile.presenters.timers import Timer

__all__ = ["Cue", "CueWatch"]


class Cue(Enum):
    """What is to be heard, and felt where the device can."""

    FINDING = "finding"
    NOTICE = "notice"
    WARNING = "warning"
    END = "end"


_NOTICES = {CardKind.NOTICE, CardKind.ASKED}
"""Another official stands there and waits to be let in."""


class CueWatch:
    """Remembers what has been heard already, so that each thing is heard once."""

    def __init__(self) -> None:
        self._heard: set[str] = set()
        self._signal: Signal | None = None
        self._is_first = True

    def after(self, cards: Iterable[Card], timer: Timer | None) -> tuple[Cue, ...]:
        """The cues that are new with this screen.

        What is there when the screen is opened is seen, and need not be heard.
        """
        new = [card for card in cards if card.subject not in self._heard]
        self._heard.update(card.subject for card in new)
        kinds = {card.kind for card in new}
        cues = []
        if not self._is_first:
            cues += [Cue.FINDING] if CardKind.FINDING in kinds else []
            cues += [Cue.NOTICE] if kinds & _NOTICES else []
        self._is_first = False
        signal = None if timer is None else timer.signal
        if signal is not self._signal:
            self._signal = signal
            match signal:
                case Signal.WARNING:
                    cues.append(Cue.WARNING)
                case Signal.END:
                    cues.append(Cue.END)
                case None:
                    pass
        return tuple(cues)
