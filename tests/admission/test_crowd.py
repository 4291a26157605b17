"""Who may be connected at once, and who has to make room."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from tablesync.admission.crowd import Caller, Crowd, Limits

LIMITS = Limits(
    most=4, most_from_one=5, most_strangers=3, most_strangers_from_one=2, most_mute=6
)


def caller(number: int) -> Caller:
    return Caller(f"10.0.0.{number}", 40_000 + number)


def test_stranger_that_dawdled_longest_makes_room() -> None:
    crowd = Crowd(LIMITS)
    for number in range(4):
        assert crowd.come(caller(number)) is None
    assert [crowd.speak(caller(number)) for number in range(4)] == [
        None,
        None,
        None,
        caller(0),
    ]
    assert crowd.turned_away == 1


def test_mute_ones_take_no_place_of_those_who_speak() -> None:
    crowd = Crowd(LIMITS)
    leaving = [crowd.come(caller(number)) for number in range(8)]
    assert leaving == [None] * 6 + [caller(0), caller(0)]
    assert crowd.strangers == 0


def test_one_address_has_few_places_until_its_devices_are_let_in() -> None:
    crowd = Crowd(LIMITS)
    first, second = Caller("10.0.0.1", 1), Caller("10.0.0.1", 2)
    for one in (first, second):
        assert crowd.may_come("10.0.0.1")
        crowd.come(one)
        crowd.speak(one)
    assert not crowd.may_come("10.0.0.1")
    assert crowd.may_come("10.0.0.2")
    crowd.let_in(first)
    assert crowd.may_come("10.0.0.1")


def test_who_left_before_a_greeting_is_told_from_who_was_heard() -> None:
    crowd = Crowd(LIMITS)
    for number in range(3):
        crowd.come(caller(number))
    crowd.speak(caller(1))
    crowd.speak(caller(2))
    crowd.greet(caller(2))
    assert [crowd.leave(caller(number)) for number in range(3)] == [True, True, False]
    assert len(crowd) == 0


def test_limits_follow_from_the_files_that_may_be_open() -> None:
    limits = Limits().within(1_024)
    assert limits.most + limits.most_mute + limits.most_strangers < 1_024


@given(st.lists(st.tuples(st.integers(0, 5), st.integers(0, 30)), max_size=200))
def test_no_place_is_ever_overfull_and_nothing_is_left_behind(
    steps: list[tuple[int, int]],
) -> None:
    crowd = Crowd(LIMITS)
    here: dict[Caller, str] = {}

    def leave(one: Caller | None) -> None:
        if one is not None:
            crowd.leave(one)
            del here[one]

    for step, number in steps:
        one = Caller(f"10.0.0.{number % 7}", number)
        match step:
            case 0 | 1 if one not in here and crowd.may_come(one.host):
                here[one] = "mute"
                leave(crowd.come(one))
            case 2 if here.get(one) == "mute":
                here[one] = "stranger"
                leave(crowd.speak(one))
            case 3 if here.get(one) == "stranger":
                here[one] = "known"
                crowd.let_in(one)
            case 4 if one in here:
                leave(one)
            case _:
                pass
        kinds = list(here.values())
        assert kinds.count("mute") <= LIMITS.most_mute
        assert kinds.count("stranger") <= LIMITS.most_strangers
        assert len(crowd) == len(here)
    for one in list(here):
        leave(one)
    assert len(crowd) == 0
    assert not crowd._of_host
    assert not crowd._unknown_of_host
