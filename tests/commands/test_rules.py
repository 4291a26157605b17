from __future__ import annotations

from pathlib import Path

import pytest

from tablesync.core.rulesets import RULE_SETS
from tests.commands.running import run

LEAGUE = Path("scenarios/rules/under-12.toml")


def test_the_rule_sets_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    ran = run(capsys, "rules", "list")
    assert (ran.status, ran.err) == (0, "")
    assert [line.split()[0] for line in ran.out.splitlines()] == list(RULE_SETS)
    assert "fiba-2024   FIBA 2024\n" in ran.out


def test_a_rule_set_is_shown_with_the_source_of_each_value(
    capsys: pytest.CaptureFixture[str],
) -> None:
    out = run(capsys, "rules", "show", "fiba-2024").out
    assert out.startswith("fiba-2024: FIBA 2024\n")
    rows = [line.replace("│", " ").split() for line in out.splitlines()]
    assert ["periods.length_s", "600", "Art.", "8.1", "(2018", "text)"] in rows
    assert ["arrow.overtimes", '"arrow"', "Art.", "12;", "from"] in [
        row[:5] for row in rows
    ]


def test_a_rule_set_that_there_is_not_is_said_so(
    capsys: pytest.CaptureFixture[str],
) -> None:
    ran = run(capsys, "rules", "show", "fiba-1932")
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.startswith("tablesync: rules: no rule set 'fiba-1932'; expected ")


def test_a_sound_rule_file_is_shown_with_what_the_league_has_set(
    capsys: pytest.CaptureFixture[str],
) -> None:
    ran = run(capsys, "rules", "check", LEAGUE)
    assert (ran.status, ran.err) == (0, "")
    assert ran.out.startswith(
        f"{LEAGUE} is sound: saltmarsh-under-12, Saltmarsh Community League, under 12\n"
    )
    rows = [line.replace("│", " ").split()[:2] for line in ran.out.splitlines()]
    assert ["periods.length_s", "300"] in rows
    assert ["roster.most_players", "12"] in rows
    assert "fouls.bonus" not in ran.out


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"base = 3", "base is 3; expected text of 1 to 80 characters"),
        (b"\xff", "is no UTF-8 text; expected a rule file"),
        (None, "can't be read (No such file or directory); expected a rule file"),
    ],
)
def test_a_wrong_rule_file_ends_with_2_and_one_sentence(
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    content: bytes | None,
    sentence: str,
) -> None:
    file = tmp_path / "league.toml"
    if content is not None:
        file.write_bytes(content)
    ran = run(capsys, "rules", "check", file)
    assert (ran.status, ran.out) == (2, "")
    assert ran.err == f"tablesync: {file}: {sentence}\n"
