from __future__ import annotations

from tablesync.touches import NEAR_DP, NEAR_MS, TouchDown, TouchSieve


def _taps(sieve: TouchSieve, touches: list[TouchDown]) -> int:
    """Each touch comes down and is lifted before the next; how many get through."""
    passed = 0
    for touch in touches:
        passed += sieve.comes_down(touch)
        sieve.is_lifted(touch.id)
    return passed


def test_ten_quick_touches_of_one_device_are_ten() -> None:
    touches = [TouchDown("touch", n, 100, 100, n * 60) for n in range(10)]
    assert _taps(TouchSieve(), touches) == 10


def test_five_touches_that_two_devices_report_are_five() -> None:
    """Kivy issue 3801: two drivers report the same finger."""
    touches = [
        TouchDown(device, 2 * n + place, 100 + place, 100, n * 60 + place * 5)
        for n in range(5)
        for place, device in enumerate(("mtdev", "hidinput"))
    ]
    sieve = TouchSieve()
    assert _taps(sieve, touches) == 5
    assert sieve.doubles == 5


def test_a_device_that_reports_a_finger_twice_before_its_lift_gives_one() -> None:
    """Kivy issue 8494: one device, two calls."""
    sieve = TouchSieve()
    assert sieve.comes_down(TouchDown("touch", 1, 100, 100, 0))
    assert not sieve.comes_down(TouchDown("touch", 2, 100, 100, 4))
    assert sieve.is_lifted(1)
    assert not sieve.is_lifted(2)


def test_two_fingers_on_two_keys_are_two() -> None:
    sieve = TouchSieve()
    assert sieve.comes_down(TouchDown("touch", 1, 100, 100, 0))
    assert sieve.comes_down(TouchDown("touch", 2, 100 + NEAR_DP + 1, 100, 0))


def test_another_device_a_moment_later_is_another_touch() -> None:
    sieve = TouchSieve()
    assert sieve.comes_down(TouchDown("touch", 1, 100, 100, 0))
    assert sieve.comes_down(TouchDown("mouse", 2, 100, 100, NEAR_MS + 1))


def test_what_a_double_does_further_is_held_back_with_it() -> None:
    sieve = TouchSieve()
    sieve.comes_down(TouchDown("touch", 1, 100, 100, 0))
    sieve.comes_down(TouchDown("mouse", 2, 100, 100, 0))
    assert sieve.goes_on(1)
    assert not sieve.goes_on(2)
