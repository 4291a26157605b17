"""What goes where on a score sheet: nothing overlaps, nothing is cut off."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from typing import TYPE_CHECKING

import pytest

from tablesync.chart.drawing import Anchor, Box, Disc
from tablesync.core.acts import Side
from tablesync.core.quarter_marks import MarkStyle
from tablesync.errors import BadInputError
from tablesync.paper.area import Area
from tablesync.paper.cells import Block, Frame, Sign, page_drawing
from tablesync.paper.remarks import remarks
from tablesync.paper.score_sheet import MARGIN, Paper, score_sheet
from tablesync.paper.subject import Subject
from tablesync.paper.typesetting import CAPITAL, DESCENT, MM_PER_POINT
from tests.paper.cases import CASES, LETTERS, USUAL, Case, case
from tests.paper.games import blank_game

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from tablesync.chart.drawing import Shape, Words
    from tablesync.paper.cells import Cell, Page

ROUNDING_MM = 0.02
SMALLEST_PT = 4.4


def reach(words: Words) -> Area:
    """What a line of words covers, by the letters it is printed with."""
    width = LETTERS.width(words.text, bold=words.bold) * words.size
    shift = {Anchor.START: 0.0, Anchor.MIDDLE: 0.5, Anchor.END: 1.0}[words.anchor]
    top = words.y - CAPITAL * words.size
    height = (CAPITAL + DESCENT) * words.size
    return Area(words.x - shift * width, top, width, height)


def above_line(words: Words) -> Area:
    """What figures cover, which do not reach below their line."""
    area = reach(words)
    return Area(area.x, area.y, area.width, CAPITAL * words.size)


def signs_of(page: Page, cell: Cell) -> tuple[Shape, ...]:
    """What is drawn into a cell between its own frame and its words."""
    alone = replace(cell, frame=Frame.NONE, words=())
    block = Block("alone", cell.area, (alone,))
    return page_drawing(replace(page, blocks=(block,))).shapes


def cells_of(page: Page) -> Iterator[tuple[Block, Cell]]:
    for block in page.blocks:
        for cell in block.cells:
            yield block, cell


def block_named(page: Page, name: str) -> Block:
    return next(block for block in page.blocks if block.name == name)


def neighbours(cells: Sequence[Cell]) -> Iterator[tuple[Cell, Cell]]:
    """The pairs of cells that are not left and right of each other."""
    from_left = sorted(cells, key=lambda cell: cell.area.x)
    for place, one in enumerate(from_left):
        for other in from_left[place + 1 :]:
            if other.area.x >= one.area.right:
                break
            yield one, other


@pytest.mark.parametrize("name", CASES)
def test_the_blocks_lie_on_the_page_and_apart(name: str) -> None:
    for page in case(name).pages:
        room = Area(0, 0, page.width, page.height).inside(MARGIN)
        assert all(room.holds(block.area) for block in page.blocks)
        for one, other in combinations(page.blocks, 2):
            assert not one.area.overlaps(other.area), (one.name, other.name)


@pytest.mark.parametrize("name", CASES)
def test_the_cells_lie_in_their_block_and_apart(name: str) -> None:
    for page in case(name).pages:
        for block in page.blocks:
            for cell in block.cells:
                assert block.area.holds(cell.area), (block.name, cell)
            for one, other in neighbours(block.cells):
                assert not one.area.overlaps(other.area), (one, other)


@pytest.mark.parametrize("name", CASES)
def test_no_word_reaches_beyond_its_cell(name: str) -> None:
    for page in case(name).pages:
        for block, cell in cells_of(page):
            for words in cell.words:
                assert cell.area.holds(reach(words), ROUNDING_MM), (block.name, words)


@pytest.mark.parametrize("name", CASES)
def test_no_word_is_printed_over_another(name: str) -> None:
    for page in case(name).pages:
        for _, cell in cells_of(page):
            for one, other in combinations(cell.words, 2):
                assert not reach(one).overlaps(reach(other), ROUNDING_MM), cell


@pytest.mark.parametrize("name", CASES)
def test_no_dot_or_inner_frame_is_drawn_over_a_word(name: str) -> None:
    for page in case(name).pages:
        for _, cell in cells_of(page):
            for words in cell.words:
                covered = reach(words)
                if Sign.DOT in cell.signs:
                    [dot] = [s for s in signs_of(page, cell) if isinstance(s, Disc)]
                    assert covered.right <= dot.x - dot.radius + ROUNDING_MM, words
                if Sign.INNER_FRAME in cell.signs:
                    [frame] = [s for s in signs_of(page, cell) if isinstance(s, Box)]
                    edge = frame.edge_width / 2
                    inner = Area(frame.x, frame.y, frame.width, frame.height)
                    assert inner.inside(edge).holds(above_line(words), ROUNDING_MM)


@pytest.mark.parametrize("name", USUAL)
def test_every_word_of_a_usual_game_can_be_read(name: str) -> None:
    for page in case(name).pages:
        for block, cell in cells_of(page):
            for words in cell.words:
                size_pt = words.size / MM_PER_POINT
                assert size_pt >= SMALLEST_PT - 1e-6, (block.name, words)


@pytest.mark.parametrize("name", CASES)
def test_every_remark_is_printed_in_order_and_whole(name: str) -> None:
    one = case(name)
    printed = [
        words.text
        for page in one.pages
        for block in page.blocks
        if block.name.startswith("remarks")
        for cell in block.cells
        for words in cell.words
    ]
    left_out = {"see the next page"}
    text = "".join("".join(line.split()) for line in printed if line not in left_out)
    for listed in remarks(one.subject):
        for part in (listed.title, *listed.paragraphs):
            wanted = "".join(part.split())
            place = _place_of(wanted, text, listed.title)
            assert place >= 0, part
            text = text[place:]


def _place_of(wanted: str, text: str, title: str) -> int:
    """Where a text stands, which the title may interrupt where a page ends."""
    again = "".join(f"{title}, continued".split())
    return text.replace(again, "").find(wanted)


@pytest.mark.parametrize(
    ("name", "pages"),
    [
        *(
            (name, 1)
            for name in (*USUAL, "ten overtimes", "blank")
            if name != "all at once"
        ),
        ("all at once", 2),
        ("eighty corrections", 2),
        ("wordy", 2),
    ],
)
def test_one_page_holds_a_game_unless_there_are_very_many_remarks(
    name: str, pages: int
) -> None:
    assert len(case(name).pages) == pages


def test_the_marks_are_those_of_the_chosen_style() -> None:
    game = case("plain").game
    signs = {
        style: {
            frozenset(cell.signs)
            for page in Case(game, marks=style).pages
            for cell in block_named(page, "home").cells
        }
        for style in MarkStyle
    }
    ringed = frozenset({Sign.RING, Sign.SLASH})
    assert frozenset({Sign.CROSS}) in signs[MarkStyle.WHOLE]
    assert ringed not in signs[MarkStyle.WHOLE]
    assert ringed in signs[MarkStyle.START]
    assert frozenset({Sign.CROSS}) not in signs[MarkStyle.START]


def test_whoever_is_out_has_the_number_on_black() -> None:
    """Two technical fouls put a player out under this code, NFHS 4-14-1."""
    one = case("fifteen players")
    [page] = one.pages
    for side in Side:
        black = {
            cell.words[0].text
            for cell in block_named(page, side).cells
            if cell.frame is Frame.BLACK
        }
        lines = one.game.book.pages[side].lines.values()
        out = {
            line.number
            for line in lines
            if sum(foul.kind == "technical" for foul in line.fouls) >= 2
            or len(line.fouls) >= 5
        }
        assert black == out


def test_a_time_out_beyond_what_the_code_allows_has_a_thick_box() -> None:
    """FIBA 18.2.5: two in the first half, three in the second, one in an overtime."""
    [page] = case("crowded").pages
    frames = {
        words.text: cell.frame
        for cell in block_named(page, "home").cells
        for words in cell.words
        if cell.frame in (Frame.PLAIN, Frame.HEAVY)
    }
    # The game has two in each period: the later one of each stands here.
    allowed = {"1st": True, "2nd": False, "3rd": True, "4th": False, "OT1": False}
    for label, is_allowed in allowed.items():
        assert frames[label] is (Frame.PLAIN if is_allowed else Frame.HEAVY), label


def test_a_span_of_overtimes_of_its_own_is_called_by_them() -> None:
    [page] = case("crowded").pages
    texts = [w.text for c in block_named(page, "away").cells for w in c.words]
    place = texts.index("team fouls")
    spans = texts[place + 1 : place + 29 : 2]
    subject = case("crowded").subject
    assert spans == [subject.label(period) for period in subject.periods]


def test_a_blank_sheet_has_no_figure_but_the_players_numbers() -> None:
    [page] = case("blank").pages
    for side in Side:
        texts = [w.text for c in block_named(page, side).cells for w in c.words]
        numbers = [p.number for p in case("blank").game.sheet.teams[side].players]
        boxes = [str(n) for n in range(1, 11)] * 2
        figures = sorted(text for text in texts if text.isdigit())
        assert figures == sorted([*numbers, *boxes])
    tape = block_named(page, "tape")
    assert {w.text for c in tape.cells for w in c.words} == {"White", "Green"}


def test_more_players_than_there_are_rows_are_refused() -> None:
    subject = Subject(blank_game("youth", 15), "", MarkStyle.WHOLE, LETTERS)
    page = subject.game.book.pages[Side.AWAY]
    for number in range(100, 160):
        page.put(page.line(str(number)))
    with pytest.raises(BadInputError) as refused:
        score_sheet(subject, Paper.A4)
    assert str(refused.value) == (
        "the score sheet: Kestrel Park has 75 players; expected at most 24"
    )
