"""The printed sheet: its text against the record, its look in black and white."""

from __future__ import annotations

import os
import subprocess
import sys
from typing import TYPE_CHECKING, Any

import pytest

from tablesync.box_score import RULINGS_PREVAIL
from tablesync.core.acts import Charged, Side
from tablesync.core.quarter_marks import MarkStyle
from tablesync.final import final_of
from tablesync.from_scenario import concluded
from tablesync.paper.cells import Frame, Sign
from tablesync.paper.score_sheet import MARGIN, Paper
from tablesync.paper.team_counts import minute_of_play
from tests.paper.cases import USUAL, Case, case
from tests.paper.printed import MM, in_black_and_white, printed_text
from tests.paper.test_score_sheet import block_named, reach
from tests.realgames import game_file, needs_real_games
from tests.recording import real_scenario

if TYPE_CHECKING:
    from pathlib import Path

    from tests.paper.printed import Printed

ROW_MM = 1.4
"""How far the words of a row with single lines may stand above or below each other."""

ANOTHER_PROCESS = """
import hashlib
from tests.paper.cases import case
print(hashlib.sha256(case("overtime").pdf).hexdigest())
"""


def within(one: Case, name: str) -> list[Printed]:
    """What is printed in a block of the first page."""
    area = block_named(one.pages[0], name).area
    return [
        text
        for text in printed_text(one.pdf)[0]
        if area.x <= text.x_mm <= area.right and area.y <= text.y_mm <= area.bottom
    ]


def player_rows(one: Case, side: Side) -> dict[str, list[str]]:
    """Shirt number to what is printed beside it, from left to right."""
    texts = within(one, side)
    block = block_named(one.pages[0], side)
    rows = {}
    for cell in block.cells:
        if not cell.words or not cell.words[0].text.isdigit():
            continue
        if cell.area.x == block.area.x:
            top, bottom = cell.area.y, cell.area.bottom
            row = [text for text in texts if top < text.y_mm < bottom]
            row.sort(key=lambda text: (round(text.x_mm, 1), text.y_mm))
            number, *beside = [text.text for text in row]
            rows[number] = beside
    return rows


@pytest.mark.parametrize("name", USUAL)
def test_every_players_row_says_what_the_record_says(name: str) -> None:
    game = case(name).game
    final: Any = final_of(game)
    rules = game.rules.fouls
    for side in Side:
        rows = player_rows(case(name), side)
        page = game.book.pages[side]
        assert rows.keys() == page.lines.keys()
        for number, line in final["players"][str(side)].items():
            player = page.team.player(number)
            assert player is not None
            fouls = [
                part
                for foul in page.lines[number].fouls
                for part in (
                    rules.counted_as(Charged.PLAYER, foul.kind).letter,
                    str(foul.period),
                )
            ]
            figures = [
                str(line["goals2"]),
                str(line["goals3"]),
                f"{line['ft_made']}/{line['ft_attempted']}",
                str(line["points"]),
            ]
            row = rows[number]
            told = len(row) - len(fouls) - len(figures)
            assert "".join(row[:told]).replace(" ", "") == player.name.replace(" ", "")
            assert row[told:] == [*fouls, *figures]


@pytest.mark.parametrize("name", USUAL)
def test_the_tape_is_the_running_score(name: str) -> None:
    one = case(name)
    texts = [text.text for text in within(one, "tape")]
    shown = [text for text in texts if text not in ("White", "Green")]
    labels = [one.subject.label(period) for period in one.subject.periods]
    expected = []
    period = 0
    for scored in one.game.book.running_score:
        if scored.period != period:
            period = scored.period
            expected.append(labels[period - 1])
        expected += [str(scored.total), scored.number or "own"]
    assert shown == expected


@pytest.mark.parametrize("name", USUAL)
def test_every_close_out_adds_up_to_the_score(name: str) -> None:
    one = case(name)
    final: Any = final_of(one.game)
    texts = within(one, "close-outs")
    for period in one.subject.periods:
        [label] = [text for text in texts if text.text == one.subject.label(period)]
        row = [t for t in texts if abs(t.y_mm - label.y_mm) <= ROW_MM]
        figures = [t.text for t in sorted(row, key=lambda t: t.x_mm)][1:]
        if period > one.game.book.tally.period:
            assert figures == []
            continue
        points = [final["by_period"][str(side)] for side in Side]
        fouls = [final["team_fouls"][str(side)] for side in Side]
        assert figures[:6] == [
            *(str(by_period[period - 1]) for by_period in points),
            *(str(sum(by_period[:period])) for by_period in points),
            *(str(by_period[period - 1]) for by_period in fouls),
        ]
        assert figures[-1] == "book, board"


def test_a_time_out_stands_with_its_period_and_minute() -> None:
    """Common practice, no source, for the minute that a whole one begins."""
    one = case("fifteen players")
    home = [text.text for text in within(one, "home")]
    place = home.index("time-outs")
    # Six minutes a quarter; both are taken when the clock has just been stopped late.
    assert home[place + 1 : place + 5] == ["1st 6'", "23.5", "3rd 6'", "8.5"]
    assert home[place + 5] == "3 left"
    assert minute_of_play(600_000, 600_000) == 1
    assert minute_of_play(600_000, 480_000) == 3
    assert minute_of_play(600_000, 481_000) == 2
    assert minute_of_play(600_000, 0) == 10
    assert minute_of_play(600_000, 700_000) == 1


def test_signatures_officials_and_whose_word_counts_are_printed() -> None:
    one = case("overtime")
    home, away = (one.game.book.tally.score[side] for side in Side)
    texts = [text.text for text in printed_text(one.pdf)[0]]
    for wanted in (
        f"Harbour Mills {home} : {away} Kestrel Park",
        "umpire",
        "P. Calder",
        "Green has protested. The record is closed",
        "2 of the points are no player's",
        RULINGS_PREVAIL,
    ):
        assert any(wanted in text for text in texts), wanted
    assert texts.count("J. Holm") == 2
    assert any(text.startswith("record 0123456789abcdef · game ") for text in texts)


@pytest.mark.parametrize(
    ("paper", "points"), [(Paper.A4, (841.89, 595.28)), (Paper.LETTER, (792, 612))]
)
def test_the_paper_is_of_its_size(paper: Paper, points: tuple[float, float]) -> None:
    """ISO 216 A4 and ANSI/ASME Y14.1 A, which is 11 by 8.5 inches."""
    pdf = Case(case("blank").game, paper).pdf
    box = f"/MediaBox [0 0 {points[0]:.2f} {points[1]:.2f}]".encode()
    assert box in pdf


def test_one_game_is_always_the_same_bytes() -> None:
    one = case("overtime")
    again = Case(one.game)
    assert again.pdf == one.pdf
    env = {**os.environ, "PYTHONHASHSEED": "7", "TZ": "Pacific/Auckland"}
    told = subprocess.run(
        [sys.executable, "-c", ANOTHER_PROCESS],
        env=env,
        capture_output=True,
        text=True,
        check=True,
    )
    from hashlib import sha256

    assert told.stdout.strip() == sha256(one.pdf).hexdigest()


@pytest.mark.parametrize("name", [*USUAL, "eighty corrections", "blank"])
def test_on_a_cheap_printer_all_of_it_can_be_seen(name: str) -> None:
    one = case(name)
    pictures = in_black_and_white(one.pdf)
    assert len(pictures) == len(one.pages)
    for page, picture in zip(one.pages, pictures, strict=True):
        assert abs(picture.width - page.width * MM) <= 1
        inked = picture.point(lambda dot: 255 - dot).getbbox()
        assert inked is not None
        edge = (MARGIN - 0.5) * MM
        assert min(inked[0], inked[1]) >= edge
        assert picture.width - inked[2] >= edge
        assert picture.height - inked[3] >= edge
        for block in page.blocks:
            for cell in block.cells:
                for words in cell.words:
                    if not words.text.strip():
                        continue
                    area = reach(words)
                    left, top = round(area.x * MM), round(area.y * MM)
                    right, bottom = round(area.right * MM), round(area.bottom * MM)
                    crop = picture.crop((left, top, right, bottom))
                    dark, light = crop.histogram()[0], crop.histogram()[255]
                    assert dark, (block.name, words)
                    assert light, (block.name, words)
                    if cell.frame is Frame.BLACK:
                        assert dark > light, (block.name, words)


@needs_real_games
@pytest.mark.parametrize("name", ["g001", "g036"])
def test_a_real_games_sheet_is_the_leagues_box_score(name: str, tmp_path: Path) -> None:
    """Box score: the league's public feed, see the real games' own notes."""
    one = Case(concluded(real_scenario(name, tmp_path, 0)))
    official = game_file(name)["official"]["teams"]
    signs = {
        "full": frozenset({Sign.SLASH}),
        "part": frozenset({Sign.CROSS}),
        "none": frozenset(),
    }
    for side, letter in ((Side.HOME, "A"), (Side.AWAY, "B")):
        rows = player_rows(one, side)
        cells = block_named(one.pages[0], side).cells
        for number, line in official[letter]["players"].items():
            *_, goals2, goals3, throws, points = rows[number]
            assert (goals2, goals3) == (str(line["goals2"]), str(line["goals3"]))
            assert throws == f"{line['ft_made']}/{line['ft_attempted']}"
            assert points == str(line["points"])
            letters = [t for t in rows[number][1:-4] if t.isalpha()]
            assert len(letters) == line["fouls"]
            [place] = [
                place
                for place, cell in enumerate(cells)
                if cell.words and cell.words[0].text == number
                if cell.area.x == block_named(one.pages[0], side).area.x
            ]
            marks = cells[place + 2 : place + 2 + len(line["periods"])]
            assert [cell.signs for cell in marks] == [
                signs[period] for period in line["periods"]
            ]


def test_the_marks_style_is_told_at_the_foot() -> None:
    for style, words in (
        (MarkStyle.WHOLE, "Periods: / whole, X a part, blank not at all."),
        (MarkStyle.START, "Periods: / started, ringed and went off;"),
    ):
        texts = within(Case(case("blank").game, marks=style), "foot")
        assert texts[0].text.startswith(words)
