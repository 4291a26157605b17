"""The marks by common practice (no source), and as two youth leagues teach them.

The second: mcleanbasketball.com, its scorebook guides, Page.asp?n=33617 and n=31450.
"""

from __future__ import annotations

import pytest

from tablesync.core.acts import ClosePeriod, OpenPeriod, Side, Substitution
from tablesync.core.quarter_marks import MarkStyle, QuarterMark, quarter_mark
from tablesync.core.rulesets import rule_set
from tests.scribe import BookDesk

HOME = Side.HOME
BLANK, SLASH, CROSS = QuarterMark.BLANK, QuarterMark.SLASH, QuarterMark.CROSS
CIRCLE, CIRCLED = QuarterMark.CIRCLE, QuarterMark.CIRCLED_SLASH


@pytest.fixture
def desk() -> BookDesk:
    """4 to 8 start the first period: 9 comes for 4, who comes back for 5."""
    desk = BookDesk(rule_set("fiba-2024"))
    desk.enter(
        OpenPeriod(1),
        Substitution(HOME, ("9",), ("4",)),
        Substitution(HOME, ("4",), ("5",)),
        ClosePeriod(1),
        Substitution(HOME, ("5",), ("6",)),
        OpenPeriod(2),
        Substitution(HOME, ("10",), ("9",)),
        Substitution(HOME, ("9",), ("10",)),
    )
    return desk


@pytest.mark.parametrize(
    ("number", "first", "second"),
    [
        ("4", CROSS, SLASH),
        ("5", CROSS, SLASH),
        ("6", SLASH, BLANK),
        ("7", SLASH, SLASH),
        ("9", CROSS, CROSS),
        ("10", BLANK, CROSS),
        ("11", BLANK, BLANK),
    ],
)
def test_a_slash_is_a_whole_period_and_a_cross_a_part(
    desk: BookDesk, number: str, first: QuarterMark, second: QuarterMark
) -> None:
    page, style = desk.book.pages[HOME], MarkStyle.WHOLE
    marks = [quarter_mark(page, number, period, style) for period in (1, 2)]
    assert marks == [first, second]


@pytest.mark.parametrize(
    ("number", "first", "second"),
    [
        ("4", CIRCLED, SLASH),
        ("5", CIRCLED, SLASH),
        ("6", SLASH, BLANK),
        ("7", SLASH, SLASH),
        ("9", CIRCLE, CIRCLED),
        ("10", BLANK, CIRCLE),
        ("11", BLANK, BLANK),
    ],
)
def test_a_slash_is_a_start_and_a_circle_a_coming_or_going(
    desk: BookDesk, number: str, first: QuarterMark, second: QuarterMark
) -> None:
    page, style = desk.book.pages[HOME], MarkStyle.START
    marks = [quarter_mark(page, number, period, style) for period in (1, 2)]
    assert marks == [first, second]


@pytest.mark.parametrize("style", MarkStyle)
def test_before_a_period_its_boxes_are_blank(desk: BookDesk, style: MarkStyle) -> None:
    assert quarter_mark(desk.book.pages[HOME], "4", 3, style) is BLANK
