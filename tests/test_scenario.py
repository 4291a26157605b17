"""The form of a scenario file is fixed by its contract, version 1."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tablesync.core.acts import (
    Basket,
    Charged,
    ClockStart,
    Foul,
    Seat,
    SetClock,
    Side,
    Substitution,
)
from tablesync.core.findings import Cause
from tablesync.core.tally import Item, PerSide
from tablesync.errors import ScenarioError
from tablesync.scenario import (
    Enter,
    Expect,
    ExpectedFinding,
    LinkChange,
    LinkState,
    StrikeOut,
    read_scenario,
)

SCENARIOS = sorted(Path("scenarios").glob("*.jsonl"))


def team(name: str) -> dict[str, object]:
    return {
        "name": name,
        "colour": "white",
        "coach": "A. Reed",
        "players": [{"number": "0", "name": "B. Holt", "starter": True}],
    }


def header(**changes: object) -> dict[str, object]:
    return {
        "scenario": 1,
        "title": "a title",
        "rules": "fiba-2024",
        "teams": {"home": team("Tidegate"), "away": team("Fen Lane")},
        **changes,
    }


BASKET = {
    "t": 1.5,
    "seat": "book",
    "act": "basket",
    "side": "home",
    "number": "0",
    "points": 2,
}


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "game.jsonl"


def write(file: Path, *lines: object) -> Path:
    texts = (line if isinstance(line, str) else json.dumps(line) for line in lines)
    file.write_text("".join(f"{text}\n" for text in texts), encoding="utf-8")
    return file


def refusal(file: Path, *lines: object) -> str:
    with pytest.raises(ScenarioError) as caught:
        read_scenario(write(file, *lines))
    return str(caught.value).removeprefix(str(file))


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_every_scenario_of_ours_can_be_read(path: Path) -> None:
    assert read_scenario(path).steps


def test_every_kind_of_line_is_read(file: Path) -> None:
    scenario = read_scenario(
        write(
            file,
            header(court="1", date="2026-11-21", officials={"timer": "C. Vale"}),
            {**BASKET, "label": "first"},
            {"t": 2, "seat": "book", "act": "strike", "ref": "first", "label": "out"},
            {"t": 3, "seat": "clock", "act": "set_clock", "remaining": 61.5},
            {"t": 4, "link": "clock", "state": "down"},
            {"t": 5, "link": "clock", "state": "replaced"},
            {
                "t": 6,
                "expect": {
                    "seat": "book",
                    "score": {"home": 0, "away": 0},
                    "period": 0,
                    "findings": [
                        {"item": "score", "side": "home", "cause": "only_in_book"}
                    ],
                },
            },
        )
    )
    assert scenario.sheet.court == "1"
    assert scenario.sheet.officials[0].role == "timer"
    assert scenario.steps == (
        Enter(1500, Seat.BOOK, Basket(Side.HOME, "0", 2), "first"),
        Enter(2000, Seat.BOOK, StrikeOut("first"), "out"),
        Enter(3000, Seat.CLOCK, SetClock(61_500), None),
        LinkChange(4000, Seat.CLOCK, LinkState.DOWN),
        LinkChange(5000, Seat.CLOCK, LinkState.REPLACED),
        Expect(
            6000,
            7,
            (Seat.BOOK,),
            PerSide(0, 0),
            None,
            None,
            0,
            (ExpectedFinding(Item.SCORE, Side.HOME, Cause.ONLY_IN_BOOK, None, None),),
        ),
    )


def test_acts_without_fields_and_with_null_are_read(file: Path) -> None:
    foul = {"side": "away", "number": None, "charged": "coach", "kind": "technical"}
    substitution = {"side": "away", "on": ["0"], "off": []}
    steps = read_scenario(
        write(
            file,
            header(),
            {"t": 0, "seat": "clock", "act": "start"},
            {"t": 1, "seat": "book", "act": "foul", **foul},
            {"t": 2, "seat": "book", "act": "substitution", **substitution},
        )
    ).steps
    assert [step.act for step in steps if isinstance(step, Enter)] == [
        ClockStart(),
        Foul(Side.AWAY, None, Charged.COACH, "technical"),
        Substitution(Side.AWAY, ("0",), ()),
    ]


def test_lines_are_laid_in_order_of_time(file: Path) -> None:
    start = {"seat": "clock", "act": "start"}
    steps = read_scenario(
        write(file, header(), {"t": 2, **start}, {"t": 1, **start})
    ).steps
    assert [step.t_ms for step in steps] == [1000, 2000]


def without(line: dict[str, object], key: str) -> dict[str, object]:
    return {k: v for k, v in line.items() if k != key}


def two_alike() -> dict[str, object]:
    player = {"number": "7", "name": "D. Lowe", "starter": False}
    return {**team("Fen Lane"), "players": [player, player]}


@pytest.mark.parametrize(
    ("line", "sentence"),
    [
        ("", ":1: the line is empty; expected one JSON object"),
        ("{", ":1: the line is no JSON; expected one JSON object"),
        ("[1]", ":1: the line is [1]; expected an object"),
        ('{"t":1,"t":2}', ":1: the key 't' is there twice; expected each key once"),
        ('{"t":NaN}', ":1: NaN is no JSON number; expected a number"),
        (header(scenario=2), ":1: scenario is 2; expected 1, the version"),
        (header(scenario=True), ":1: scenario is true; expected 1, the version"),
        (header(title=""), ':1: title is ""; expected a text'),
        (without(header(), "title"), ":1: title is missing; expected a text"),
        (header(teams=[]), ":1: teams is []; expected an object"),
        (
            header(teams={"home": team("Tidegate")}),
            ":1: teams.away is missing; expected an object",
        ),
        (
            header(teams={"home": team("Tidegate"), "away": two_alike()}),
            ":1: Fen Lane has two players with number 7; expected each number once",
        ),
        (
            header(officials=7),
            ":1: officials is 7; expected a list of names, or an object of role and "
            "name",
        ),
    ],
)
def test_a_wrong_header_is_refused_in_one_sentence(
    file: Path, line: object, sentence: str
) -> None:
    assert refusal(file, line) == sentence


def test_an_unknown_rule_set_is_refused_with_those_known(file: Path) -> None:
    sentence = refusal(file, header(rules="village-1921"))
    assert sentence.startswith(":1: there is no rule set 'village-1921'; expected ")
    assert "fiba-2024" in sentence


def test_the_rules_may_be_a_file_beside_the_scenario(file: Path) -> None:
    rule_file = file.with_name("county.toml")
    rule_file.write_text(
        'base = "nfhs-2022"\nname = "county"\ntitle = "County"\n'
        "[periods]\nlength_s = 360\n"
    )
    scenario = read_scenario(write(file, header(rules="county.toml")))
    assert scenario.rules.period_ms == 360_000
    assert scenario.sheet.rules == "county"
    assert scenario.sheet.rule_text == rule_file.read_text()


def test_a_rule_file_that_is_not_there_is_refused(file: Path) -> None:
    assert "county.toml can't be read; expected a rule file" in refusal(
        file, header(rules="county.toml")
    )


def test_an_unknown_key_of_the_header_is_refused(file: Path) -> None:
    assert ":1: weather is not known here; expected scenario, title" in refusal(
        file, header(weather="dry")
    )


@pytest.mark.parametrize(
    ("line", "sentence"),
    [
        ("", ":2: the line is empty; expected one JSON object"),
        (without(BASKET, "t"), ":2: t is missing; expected seconds from 0 to 1000000"),
        ({**BASKET, "t": -1}, ":2: t is -1; expected seconds from 0 to 1000000"),
        ({**BASKET, "t": "1"}, ':2: t is "1"; expected seconds from 0 to 1000000'),
        ({**BASKET, "t": True}, ":2: t is true; expected seconds from 0 to 1000000"),
        (
            {**BASKET, "seat": "bench"},
            ':2: seat is "bench"; expected "book" or "clock"',
        ),
        (
            {**BASKET, "act": "dunk"},
            ':2: act is "dunk"; expected an act of a scenario',
        ),
        (
            {**BASKET, "act": "let_stand"},
            ':2: act is "let_stand"; expected an act of a scenario',
        ),
        (
            {**BASKET, "seat": "clock"},
            ":2: basket is no act of the clock seat; expected seat book",
        ),
        (
            {"t": 1, "seat": "book", "act": "start"},
            ":2: start is no act of the book seat; expected seat clock",
        ),
        (without(BASKET, "points"), ":2: basket lacks 'points'; expected 2 or 3"),
        ({**BASKET, "points": 1}, ":2: points of basket is 1; expected 2 or 3"),
        ({**BASKET, "points": 2.0}, ":2: points of basket is 2.0; expected 2 or 3"),
        ({**BASKET, "label": 5}, ":2: label is 5; expected a text"),
        (
            {**BASKET, "hand": "left"},
            ":2: basket has no field 'hand'; expected fields: side, number, points",
        ),
        (
            {"t": 1, "seat": "book", "act": "strike", "ref": "b9"},
            ':2: ref is "b9"; expected the label of an earlier book entry',
        ),
        (
            {"t": 1, "link": "book", "state": "sideways"},
            ':2: state is "sideways"; expected "down" or "up" or "replaced"',
        ),
        (
            {"t": 1, "link": "book", "state": "up", "by": "cable"},
            ":2: by is not known here; expected t, link, state",
        ),
        (
            {"t": 1, "expect": {"period": -1}},
            ":2: expect.period is -1; expected a whole number from 0 to 20",
        ),
        (
            {"t": 1, "expect": {"score": {"home": 1}}},
            ":2: expect.score.away is missing; expected a whole number from 0 to 999",
        ),
    ],
)
def test_a_wrong_line_is_refused_in_one_sentence(
    file: Path, line: object, sentence: str
) -> None:
    assert refusal(file, header(), line) == sentence


def test_a_foul_of_no_known_kind_is_refused(file: Path) -> None:
    foul = {"side": "home", "number": "0", "charged": "player", "kind": "rude"}
    line = {"t": 1, "seat": "book", "act": "foul", **foul}
    assert refusal(file, header(), line).startswith(
        ":2: kind of foul is 'rude'; expected disqualifying, flagrant"
    )


def test_a_label_is_there_once(file: Path) -> None:
    labelled = {**BASKET, "label": "same"}
    assert refusal(file, header(), labelled, labelled) == (
        ":3: label 'same' is there twice; expected a label of its own"
    )


def test_a_strike_reaches_only_its_own_seat(file: Path) -> None:
    strike = {"t": 2, "seat": "clock", "act": "strike", "ref": "b1"}
    assert refusal(file, header(), {**BASKET, "label": "b1"}, strike) == (
        ':3: ref is "b1"; expected the label of an earlier clock entry'
    )


def test_a_file_that_is_not_there_is_refused(file: Path) -> None:
    with pytest.raises(ScenarioError, match="can't be read"):
        read_scenario(file)


def test_an_empty_file_and_one_that_is_no_text_are_refused(file: Path) -> None:
    assert refusal(file) == ":1: the file is empty; expected a scenario header"
    file.write_bytes(b"\xff\xfe")
    with pytest.raises(ScenarioError, match="is no UTF-8 text"):
        read_scenario(file)
