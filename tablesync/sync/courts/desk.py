"""The director's side: all courts of a relay as far as they have been told."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.summary import learned
from tablesync.errors import (
    MalformedFrameError,
    ProtocolError,
    RefusedError,
    UnexpectedMessageError,
)
from tablesync.sync.codec import decode, encode
from tablesync.sync.courts.codec import decode_courts, encode_courts
from tablesync.sync.courts.confirmation import confirm
from tablesync.sync.courts.messages import (
    Confirmation,
    Gone,
    News,
    PartOf,
    Seen,
    Watch,
)
from tablesync.sync.messages import PROTOCOL, Asking, Refusal, refusal_of

if TYPE_CHECKING:
    from tablesync.core.summary import Newcomer, Part, Summary
    from tablesync.seal import DeviceKey

__all__ = ["SILENCE_MS", "CourtDesk"]

SILENCE_MS = 10_000
"""A relay says the time every second: one that is silent for so long is called anew.

A link can be gone without a word, as when a tablet changes its place in the network.
"""


class CourtDesk:
    """What a follower knows of the courts, and what it says to the relay."""

    def __init__(self) -> None:
        self.courts: dict[bytes, Summary] = {}
        """By the game's id."""
        self.trouble: ProtocolError | RefusedError | None = None
        """Why the link was given up."""
        self.is_closing = False
        """Whether the link is to be closed, once the frames have been sent."""
        self.is_complete = False
        """Whether the newest news left no court out."""
        self._changed: dict[bytes, None] = {}
        self._frames: list[bytes] = []
        self._ahead_ms = 0
        self._told_ms: int | None = None

    @property
    def told_ms(self) -> int | None:
        """The own clock when the newest news came; None before the first."""
        return self._told_ms

    def relay_ms(self, now_ms: int) -> int:
        """The relay's clock, give or take the way of a frame."""
        return now_ms + self._ahead_ms

    def frames_to_send(self) -> list[bytes]:
        """The frames for the relay since the last call."""
        frames, self._frames = self._frames, []
        return frames

    def take_changed(self) -> list[bytes]:
        """The courts that have changed or gone since the last call."""
        changed, self._changed = list(self._changed), {}
        return changed

    def connected(self) -> None:
        """A link to the relay is there: asks for everything anew."""
        self.is_closing = False
        self.trouble = None
        self.is_complete = False
        self._changed.update(dict.fromkeys(self.courts))
        self.courts.clear()
        self._frames = [encode_courts(Watch(PROTOCOL))]

    def confirm(self, key: DeviceKey, game: bytes, newcomer: Newcomer) -> None:
        """The director, who has this key, has the relay let a device in."""
        asking = Asking(newcomer.device, newcomer.seat)
        self._frames.append(encode_courts(confirm(key, game, asking)))

    def receive_frame(self, frame: bytes | str, now_ms: int) -> None:
        """Takes a frame of the relay. A wrong one is refused, which ends the link."""
        if self.is_closing:
            return
        try:
            self._receive(frame, now_ms)
        except ProtocolError as error:
            self._frames.append(encode(refusal_of(error)))
            self._give_up(error)

    def _receive(self, frame: bytes | str, now_ms: int) -> None:
        try:
            message = decode_courts(frame)
        except MalformedFrameError:
            # Refusals are what both conversations have in common.
            match decode(frame):
                case Refusal(code, sentence):
                    self._give_up(RefusedError(code, sentence))
                    return
                case _:
                    raise
        match message:
            case News(number, relay_ms, more, items):
                self.is_complete = more == 0
                self._ahead_ms = relay_ms - now_ms
                self._told_ms = now_ms
                for item in items:
                    self._take(item)
                self._frames.append(encode_courts(Seen(number)))
            case Watch() | Seen() | Confirmation():
                raise UnexpectedMessageError("a relay only tells news of the courts")

    def _take(self, item: PartOf | Gone) -> None:
        self._changed[item.game] = None
        match item:
            case Gone(game):
                self.courts.pop(game, None)
            case PartOf(game, part):
                self._learn(game, part)

    def _learn(self, game: bytes, part: Part) -> None:
        summary = learned(self.courts.get(game), part)
        if summary is None:
            raise UnexpectedMessageError("a court is told of before its name")
        self.courts[game] = summary

    def _give_up(self, error: ProtocolError | RefusedError) -> None:
        self.trouble = error
        self.is_closing = True
