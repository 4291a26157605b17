"""Everything that the book has to say is said in German too."""

from __future__ import annotations

import ast
from pathlib import Path
from string import Formatter

import pytest

from mobile.texts.german import GERMAN
from mobile.texts.german_sentences import FORMS
from tablesync.core.close_out import close_out
from tablesync.core.rulesets import RULE_SETS
from tablesync.core.sentence import sentence
from tablesync.scenario import read_scenario
from tests.recording import replay_of

CORE = Path("tablesync/core")
SPEAKERS = ("standing_notices.py", "entry_notices.py", "close_out.py")
FIBA = RULE_SETS["fiba-2024"]
ADDED = {"period", "span", "half"}
"""Gaps that German fills from the period that is given."""
UNSPOKEN = {"count", "book_team", "board_team"}
"""Gaps that are given and that English does not need."""


def _forms() -> set[str]:
    """Every form with a gap that the core has."""
    trees = (ast.parse((CORE / name).read_text(encoding="utf-8")) for name in SPEAKERS)
    return {
        node.value
        for tree in trees
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant)
        and isinstance(node.value, str)
        and "{" in node.value
    }


def _gaps(form: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(form) if name is not None}


def test_each_sentence_of_the_core_has_a_german_form_and_no_other_has() -> None:
    assert _forms() == set(FORMS)


@pytest.mark.parametrize("form", FORMS)
def test_a_german_form_has_no_gap_that_nothing_stands_for(form: str) -> None:
    assert _gaps(FORMS[form]) <= _gaps(form) | ADDED | UNSPOKEN


@pytest.mark.parametrize(
    "scenario", sorted(Path("scenarios").glob("*.jsonl")), ids=lambda path: path.stem
)
def test_what_a_game_has_to_tell_is_told_in_german(scenario: Path) -> None:
    replay = replay_of(read_scenario(scenario))
    end = replay.end
    told = [step.notice.says for step in replay.steps if hasattr(step, "notice")]
    sums = close_out(replay.sheet, replay.rules, end.book, end.board)
    for says in (*told, *sums.problems):
        german = GERMAN.say.sentence(says, replay.rules)
        assert german != str(says)
        assert "{" not in german


@pytest.mark.parametrize(
    ("says", "german"),
    [
        (
            sentence(
                "{team} {number} is out: {why}.",
                team="Green",
                number="10",
                why="5th foul",
            ),
            "Grün 10 ist ausgeschlossen: 5. Foul.",
        ),
        (
            sentence(
                "{team}: {nth} team foul of the {span}, {other} shoots {shots}.",
                team="White",
                nth="5th",
                span="2nd quarter",
                other="green",
                shots="two",
                count=5,
                at=2,
            ),
            "Weiß: 5. Teamfoul (2. Viertel), Grün wirft zwei Freiwürfe.",
        ),
        (
            sentence(
                "The arrow points {book_way} in the book, {board_way} on the board.",
                book_way="nowhere",
                board_way="to green",
                book_team="",
                board_team="green",
            ),
            "Pfeil: im Buch nirgends, an der Anzeige Grün.",
        ),
        (
            sentence(
                "{team} has no time-outs left in the {span}.",
                team="White",
                span="1st half",
                at=2,
            ),
            "Weiß hat keine Auszeit mehr (1. Halbzeit).",
        ),
    ],
    ids=lambda value: str(value)[:24],
)
def test_sentences_read_as_german_ones(says: object, german: str) -> None:
    assert GERMAN.say.sentence(says, FIBA) == german  # type: ignore[arg-type]
