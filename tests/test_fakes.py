from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from tests.fakes import FAIR, FakeClock, Link, Weather

storms = st.builds(
    Weather,
    drop=st.floats(0, 1),
    repeat=st.floats(0, 1),
    least_delay_ms=st.integers(0, 50),
    most_delay_ms=st.integers(50, 200),
)


def carried(weather: Weather, seed: int) -> list[tuple[int, int]]:
    """When each of 30 numbered frames arrives, one being sent every 10 ms."""
    link: Link[int] = Link(weather, seed)
    arrivals: list[tuple[int, int]] = []
    for now_ms in range(0, 600, 10):
        if now_ms < 300:
            link.send(now_ms // 10, now_ms)
        arrivals += [(now_ms, frame) for frame in link.arrived(now_ms)]
    return arrivals


def test_in_fair_weather_every_frame_arrives_at_once() -> None:
    assert carried(FAIR, seed=1) == [(10 * frame, frame) for frame in range(30)]


@given(storms, st.integers())
def test_the_same_seed_gives_the_same_misfortunes(weather: Weather, seed: int) -> None:
    assert carried(weather, seed) == carried(weather, seed)


@given(storms, st.integers())
def test_nothing_arrives_that_was_not_sent_or_before_its_time(
    weather: Weather, seed: int
) -> None:
    arrivals = carried(weather, seed)
    for now_ms, frame in arrivals:
        assert now_ms >= 10 * frame + weather.least_delay_ms
        assert now_ms < 10 * frame + weather.most_delay_ms + 10
    frames = [frame for _, frame in arrivals]
    assert set(frames) <= set(range(30))
    assert all(frames.count(frame) <= 2 for frame in frames)


def test_bad_weather_drops_repeats_and_reorders() -> None:
    storm = Weather(drop=0.3, repeat=0.3, most_delay_ms=100)
    frames = [frame for _, frame in carried(storm, seed=1)]
    assert set(frames) < set(range(30))
    assert len(frames) > len(set(frames))
    assert frames != sorted(frames)


def test_a_cut_loses_what_is_under_way() -> None:
    link: Link[str] = Link(Weather(least_delay_ms=50, most_delay_ms=50), seed=1)
    link.send("lost", 0)
    assert link.next_arrival_ms() == 50
    assert link.cut() == 1
    assert link.next_arrival_ms() is None
    link.send("late", 10)
    assert link.arrived(59) == []
    assert link.arrived(60) == ["late"]


def test_a_fake_clock_moves_only_when_told_to() -> None:
    clock = FakeClock(100)
    assert clock.now_ms == 100
    assert clock.advance(5) == clock.now_ms == 105
