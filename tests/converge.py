"""Lets two holders exchange frames until neither has anything more to say."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol, TypeVar

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["MOST_ROUNDS", "Holder", "NotConvergingError", "converge"]

MOST_ROUNDS = 10

F = TypeVar("F")


class Holder(Protocol[F]):
    """Whatever takes frames and gives frames: one end of one connection."""

    def receive_frame(self, frame: F, now_ms: int) -> None:
        """Takes a frame from the other end."""

    def frames_to_send(self) -> Sequence[F]:
        """The frames for the other end since the last call."""


class NotConvergingError(AssertionError):
    """Two holders still talk after so many rounds."""

    def __init__(self, rounds: int, said: Sequence[object]) -> None:
        super().__init__(f"still talking after {rounds} rounds, last: {said!r:.400}")


def converge(one: Holder[F], other: Holder[F], now_ms: int = 0) -> int:
    """Carries frames both ways until both are silent, in the same instant.

    Returns:
        In how many rounds something was said.

    Raises:
        NotConvergingError: they have not come to an end in `MOST_ROUNDS` rounds.
    """
    said: list[F] = []
    for rounds in range(MOST_ROUNDS + 1):
        from_one, from_other = one.frames_to_send(), other.frames_to_send()
        said = [*from_one, *from_other]
        if not said:
            return rounds
        for frame in from_one:
            other.receive_frame(frame, now_ms)
        for frame in from_other:
            one.receive_frame(frame, now_ms)
    raise NotConvergingError(MOST_ROUNDS, said)
