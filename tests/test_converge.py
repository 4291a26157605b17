from __future__ import annotations

import pytest

from tests.converge import MOST_ROUNDS, NotConvergingError, converge


class Counter:
    """Answers every frame by the next smaller number, down to nought."""

    def __init__(self, *frames: int) -> None:
        self._frames = list(frames)
        self.heard: list[int] = []

    def receive_frame(self, frame: int, now_ms: int) -> None:
        self.heard.append(frame)
        if frame > now_ms:
            self._frames.append(frame - 1)

    def frames_to_send(self) -> list[int]:
        frames, self._frames = self._frames, []
        return frames


def test_two_silent_holders_need_no_round() -> None:
    assert converge(Counter(), Counter()) == 0


def test_an_exchange_ends_when_both_are_silent() -> None:
    one, other = Counter(3), Counter(0)
    assert converge(one, other) == 4
    assert one.heard == [0, 2, 0]
    assert other.heard == [3, 1]


def test_an_exchange_may_take_as_many_rounds_as_are_allowed() -> None:
    assert converge(Counter(MOST_ROUNDS - 1), Counter()) == MOST_ROUNDS


def test_holders_that_talk_for_ever_are_a_failure_with_a_name() -> None:
    with pytest.raises(NotConvergingError, match="still talking after 10 rounds"):
        converge(Counter(MOST_ROUNDS), Counter())
