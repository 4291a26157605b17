from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from tablesync.chart.drawing import Anchor
from tablesync.paper.area import Area
from tablesync.paper.typesetting import (
    CAPITAL,
    DESCENT,
    MM_PER_POINT,
    Style,
    broken,
    set_line,
    set_lines,
)

if TYPE_CHECKING:
    from tablesync.chart.drawing import Words

WIDE = Area(10, 10, 60, 6)


class EvenLetters:
    """Every letter is half as wide as it is high, bold ones a little wider."""

    def width(self, text: str, *, bold: bool) -> float:
        return len(text) * (0.55 if bold else 0.5)


LETTERS = EvenLetters()


def reach(words: Words) -> Area:
    """What a line of words covers."""
    width = LETTERS.width(words.text, bold=words.bold) * words.size
    shift = {Anchor.START: 0.0, Anchor.MIDDLE: 0.5, Anchor.END: 1.0}[words.anchor]
    top = words.y - CAPITAL * words.size
    height = (CAPITAL + DESCENT) * words.size
    return Area(words.x - shift * width, top, width, height)


def test_a_line_stands_in_the_middle_of_the_height() -> None:
    words = set_line("Kestrel", WIDE, Style(8), LETTERS)
    assert words.size == pytest.approx(8 * MM_PER_POINT)
    above = words.y - CAPITAL * words.size - WIDE.y
    assert above == pytest.approx(WIDE.bottom - words.y)


def test_a_line_that_is_too_long_is_set_smaller() -> None:
    text = "Kestrel Park against Harbour Mills and the whole league besides"
    words = set_line(text, WIDE, Style(12), LETTERS)
    assert words.text == text
    assert words.size < 12 * MM_PER_POINT
    assert WIDE.holds(reach(words))


def test_what_would_steer_a_printer_is_shown_as_such() -> None:
    assert set_line("a\x1b\u202eb", WIDE, Style(8), LETTERS).text == "a\ufffd\ufffdb"


def test_a_long_name_goes_on_two_lines_where_that_makes_it_larger() -> None:
    area = Area(0, 0, 20, 5)
    [one] = set_lines("Ash Wynn", area, Style(7), LETTERS)
    assert one.text == "Ash Wynn"
    two = set_lines("Ash Ravensworth-Holloway", area, Style(7), LETTERS)
    assert [words.text for words in two] == ["Ash Ravensworth-", "Holloway"]
    assert all(area.holds(reach(words)) for words in two)
    [still_one] = set_lines("Ravensworthattenboroughholloway", area, Style(7), LETTERS)
    assert area.holds(reach(still_one))


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ("", []),
        ("   ", []),
        ("one two", ["one two"]),
        ("one two three", ["one two", "three"]),
        ("a-long-hyphened", ["a-long-", "hyphened"]),
        ("unbreakableword", ["unbreakab", "leword"]),
        ("two  spaces\nand", ["two", "spaces", "and"]),
    ],
)
def test_text_is_broken_at_spaces_and_after_hyphens(
    text: str, lines: list[str]
) -> None:
    assert broken(text, 4.6, LETTERS) == lines


texts = st.text(st.characters(categories=["L", "N", "P", "Zs"]), max_size=120)


@given(texts, st.floats(0.5, 40), st.booleans())
@example(text="0 0", width=0.5, bold=False)
def test_no_letter_is_lost_and_no_line_too_wide(
    text: str,
    width: float,
    bold: bool,  # noqa: FBT001
) -> None:
    lines = broken(text, width, LETTERS, bold=bold)
    assert "".join("".join(lines).split()) == "".join(text.split())
    assert all(
        line and (len(line) == 1 or LETTERS.width(line, bold=bold) <= width)
        for line in lines
    )


@given(
    texts,
    st.builds(Area, st.just(0.0), st.just(0.0), st.floats(1, 90), st.floats(1, 9)),
    st.builds(Style, st.floats(4, 20), st.booleans(), st.sampled_from(Anchor)),
)
def test_text_never_leaves_its_area(text: str, area: Area, style: Style) -> None:
    for words in (
        set_line(text, area, style, LETTERS),
        *set_lines(text, area, style, LETTERS),
    ):
        assert area.holds(reach(words), slack=1e-3)
        assert words.size <= style.size_pt * MM_PER_POINT + 1e-9
