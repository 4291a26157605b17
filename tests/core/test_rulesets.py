"""The rule sets against values written down from the codes, one by one.

The figures below were put down from the articles named beside them, apart from the
modules that they check: periods FIBA 8.1-8.7, NFHS 5-5 and 5-7, NCAA men 5-6-1 (2011-13
book); bonus FIBA 41, NFHS 4-8-1, the NCAA's major rules differences of 2020-21;
time-outs FIBA 18.2.5, NFHS 5-12-1, NCAA 5-14.10 (2019-20) and the women's media format
of 2015-17; signals FIBA 49, NFHS 2-12, NCAA 2-10; arrow FIBA 12, NFHS 6-4.
"""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from typing import TYPE_CHECKING

import pytest

from tablesync.core.acts import Charged, Foul, Side, TimeOutLength
from tablesync.core.arrow_rules import Opening
from tablesync.core.foul_rules import Award, CoachCharge, Penalty
from tablesync.core.periods import PeriodState
from tablesync.core.rulesets import RULE_SETS, rule_set
from tablesync.core.sources import Source, Sureness
from tablesync.core.time_out_rules import Allowance, CarryOver, LateLimit
from tablesync.errors import RuleFileError

if TYPE_CHECKING:
    from collections.abc import Iterator


NAMES = ["fiba-2024", "nfhs-2023", "nfhs-2022", "ncaa-men", "ncaa-women", "youth"]
MINUTE = 60_000
ROW_TABLES = {"kinds", "player_limits", "coach_limits", "bonus", "by_present"}


def test_the_rule_sets_are_found_by_name_and_a_stranger_is_told_the_names() -> None:
    assert list(RULE_SETS) == NAMES
    assert rule_set("youth").name == "youth"
    with pytest.raises(RuleFileError) as refused:
        rule_set("fiba-1932")
    assert str(refused.value) == (
        "rules: no rule set 'fiba-1932'; expected fiba-2024, nfhs-2023, nfhs-2022, "
        "ncaa-men, ncaa-women, youth"
    )


def leaves(value: object, path: str = "") -> Iterator[str]:
    """The paths of all fields that hold no table of rows with sources of their own."""
    assert is_dataclass(value)
    for field in fields(value):
        inner = getattr(value, field.name)
        here = f"{path}{field.name}"
        if here in {"name", "title", "sources"}:
            continue
        if field.name in ROW_TABLES:
            for row in inner:
                assert isinstance(row.source, Source), here
        elif is_dataclass(inner) and not isinstance(
            inner, Allowance | CarryOver | LateLimit
        ):
            yield from leaves(inner, f"{here}.")
        else:
            yield here


@pytest.mark.parametrize("name", NAMES)
def test_every_value_has_its_source(name: str) -> None:
    rules = rule_set(name)
    assert set(leaves(rules)) == set(rules.sources)


def test_what_is_not_sure_says_so() -> None:
    women = rule_set("ncaa-women")
    assert women.sources["intervals.between_ms"].sureness is Sureness.UNKNOWN
    assert women.intervals.between_ms is None
    assert str(rule_set("fiba-2024").sources["fouls.player_limit"]) == (
        "Art. 40; from memory, not verified"
    )
    assert str(rule_set("nfhs-2023").sources["period_ms"]) == "5-5-1"


@pytest.mark.parametrize(
    ("name", "periods", "called", "minutes", "overtime"),
    [
        ("fiba-2024", 4, "quarter", 10, 5),
        ("nfhs-2023", 4, "quarter", 8, 4),
        ("nfhs-2022", 4, "quarter", 8, 4),
        ("ncaa-men", 2, "half", 20, 5),
        ("ncaa-women", 4, "quarter", 10, 5),
        ("youth", 4, "quarter", 6, 3),
    ],
)
def test_periods(
    name: str, periods: int, called: str, minutes: int, overtime: int
) -> None:
    rules = rule_set(name)
    assert (rules.periods, rules.period_name) == (periods, called)
    assert rules.period_length_ms(1) == minutes * MINUTE
    assert rules.period_length_ms(periods) == minutes * MINUTE
    assert rules.period_length_ms(periods + 2) == overtime * MINUTE
    assert rules.period_title(2) == f"2nd {called}"
    assert rules.period_title(periods + 1) == "1st overtime"


@pytest.mark.parametrize(
    ("name", "between", "half_time", "overtime"),
    [
        ("fiba-2024", 2, 15, 2),
        ("nfhs-2023", 1, 10, 1),
        ("nfhs-2022", 1, 10, 1),
        ("ncaa-men", None, 15, 1),
        ("ncaa-women", None, 15, 1),
        ("youth", 1, 10, 1),
    ],
)
def test_intervals(
    name: str, between: int | None, half_time: int, overtime: int
) -> None:
    rules = rule_set(name)
    expected = None if between is None else between * MINUTE
    if rules.periods == 4:
        assert rules.interval_ms(2) == expected
        assert rules.interval_ms(4) == expected
    assert rules.interval_ms(rules.periods // 2 + 1) == half_time * MINUTE
    assert rules.interval_ms(rules.periods + 1) == overtime * MINUTE


def test_signals_in_intervals() -> None:
    """FIBA Art. 49 (from memory); NFHS 2-12-1, -2, -4."""
    fiba, nfhs = rule_set("fiba-2024"), rule_set("nfhs-2023")
    for begins_half in (1, 3):
        assert fiba.interval_signals(begins_half) == (180_000, 90_000, 0)
        assert nfhs.interval_signals(begins_half) == (180_000, 15_000, 0)
    for other in (2, 4, 5, 6):
        assert fiba.interval_signals(other) == (30_000, 0)
        assert nfhs.interval_signals(other) == (15_000, 0)


@pytest.mark.parametrize(
    ("name", "full", "short"),
    [
        ("fiba-2024", (50_000, 60_000), (50_000, 60_000)),
        ("nfhs-2023", (45_000, 60_000), (15_000, 30_000)),
        ("nfhs-2022", (45_000, 60_000), (15_000, 30_000)),
        ("ncaa-men", (45_000, 60_000), (15_000, 30_000)),
        ("ncaa-women", (45_000, 60_000), (15_000, 30_000)),
        ("youth", (45_000, 60_000), (15_000, 30_000)),
    ],
)
def test_signals_in_time_outs(
    name: str, full: tuple[int, ...], short: tuple[int, ...]
) -> None:
    rules = rule_set(name)
    assert rules.time_outs.signals_ms(TimeOutLength.FULL) == full
    assert rules.time_outs.signals_ms(TimeOutLength.SHORT) == short


@pytest.mark.parametrize(
    ("name", "awards"),
    [
        ("fiba-2024", {1: "throw_in", 4: "throw_in", 5: "two_shots", 12: "two_shots"}),
        ("nfhs-2023", {4: "throw_in", 5: "two_shots", 9: "two_shots"}),
        ("ncaa-women", {4: "throw_in", 5: "two_shots", 9: "two_shots"}),
        (
            "nfhs-2022",
            {6: "throw_in", 7: "one_and_one", 9: "one_and_one", 10: "two_shots"},
        ),
        (
            "ncaa-men",
            {6: "throw_in", 7: "one_and_one", 9: "one_and_one", 10: "two_shots"},
        ),
        ("youth", {6: "throw_in", 7: "one_and_one", 9: "one_and_one", 10: "two_shots"}),
    ],
)
def test_the_award_by_the_teams_count(name: str, awards: dict[int, str]) -> None:
    fouls = rule_set(name).fouls
    assert {n: fouls.award(n) for n in awards} == {
        n: Award(a) for n, a in awards.items()
    }


@pytest.mark.parametrize(
    ("name", "spans"),
    [
        ("fiba-2024", {1: [1], 2: [2], 4: [4], 5: [4, 5], 6: [4, 5, 6]}),
        ("nfhs-2023", {1: [1], 2: [2], 4: [4], 5: [4, 5], 6: [4, 5, 6]}),
        ("ncaa-women", {1: [1], 2: [2], 4: [4], 5: [4, 5], 6: [4, 5, 6]}),
        ("nfhs-2022", {1: [1], 2: [1, 2], 3: [3], 4: [3, 4], 5: [3, 4, 5]}),
        ("youth", {1: [1], 2: [1, 2], 3: [3], 4: [3, 4], 5: [3, 4, 5]}),
        ("ncaa-men", {1: [1], 2: [2], 3: [2, 3], 4: [2, 3, 4]}),
    ],
)
def test_the_span_whose_team_fouls_count_together(
    name: str, spans: dict[int, list[int]]
) -> None:
    rules = rule_set(name)
    assert {p: list(rules.foul_span(p)) for p in spans} == spans


def test_what_a_span_is_called() -> None:
    assert rule_set("fiba-2024").foul_span_title(5) == "4th quarter"
    assert rule_set("nfhs-2022").foul_span_title(2) == "1st half"
    assert rule_set("nfhs-2022").foul_span_title(5) == "2nd half"
    assert rule_set("ncaa-men").foul_span_title(3) == "2nd half"
    fiba = rule_set("fiba-2024")
    apart = replace(fiba, fouls=replace(fiba.fouls, overtime_joins_last=False))
    assert apart.foul_span_title(5) == "1st overtime"


@pytest.mark.parametrize(
    ("name", "overtimes"),
    [
        ("fiba-2024", Opening.ARROW),
        ("nfhs-2023", Opening.JUMP_BALL),
        ("nfhs-2022", Opening.JUMP_BALL),
        ("ncaa-men", Opening.JUMP_BALL),
        ("ncaa-women", Opening.JUMP_BALL),
        ("youth", Opening.JUMP_BALL),
    ],
)
def test_how_periods_begin(name: str, overtimes: Opening) -> None:
    rules = rule_set(name)
    assert rules.opening(1) is Opening.JUMP_BALL
    assert rules.opening(2) is Opening.ARROW
    assert rules.opening(rules.periods) is Opening.ARROW
    assert rules.opening(rules.periods + 1) is overtimes


# Every kind of foul of the contract and of the codes, under every rule set:
# player columns: counts to his five, to the team, what it costs.
# coach and bench: counts to the team, as what it stands on the coach's record.
# "-": the code has no such foul. From FIBA 36-41 and Annex B, NFHS 4-8-1, 4-14-1, 10-5,
# the NCAA summaries of 2008 and 2018-19.
FIBA_FOULS = """
player personal         five team  by_count
player offensive        five team  never_shots
player technical        five team  own
player unsportsmanlike  five team  own
player disqualifying    five team  own
player intentional      -
player flagrant         -
player flagrant_one     -
player technical_b      -
coach  technical        no team    direct
coach  disqualifying    no team    out
bench  technical        no team    indirect
bench  disqualifying    no team    indirect
bench  administrative   -
"""
NFHS_FOULS = """
player personal         five team  by_count
player offensive        five team  never_shots
player technical        five team  own
player intentional      five team  own
player flagrant         five team  own
player unsportsmanlike  -
player disqualifying    -
player flagrant_one     -
player technical_b      -
coach  technical        team       direct
coach  flagrant         team       out
bench  technical        team       indirect
bench  flagrant         team       indirect
bench  administrative   team       none
coach  disqualifying    -
bench  disqualifying    -
"""
MEN_FOULS = """
player personal         five team  by_count
player offensive        five team  never_shots
player technical        five team  own
player technical_b      not to five, no team  own
player flagrant_one     five team  own
player flagrant         five team  own
player intentional      -
player unsportsmanlike  -
player disqualifying    -
coach  technical        team       direct
coach  technical_b      no team    indirect
coach  flagrant         team       out
bench  technical        team       indirect
bench  technical_b      no team    indirect
bench  flagrant         team       indirect
bench  administrative   -
"""
WOMEN_FOULS = """
player personal         five team  by_count
player offensive        five team  never_shots
player technical        five team  own
player intentional      five team  own
player disqualifying    five team  own
player unsportsmanlike  -
player flagrant         -
player flagrant_one     -
player technical_b      -
coach  technical        team       direct
coach  disqualifying    team       out
bench  technical        team       indirect
bench  disqualifying    team       indirect
bench  administrative   -
"""
TABLE = [
    (name, *line.split(maxsplit=2))
    for name, text in {
        "fiba-2024": FIBA_FOULS,
        "nfhs-2023": NFHS_FOULS,
        "nfhs-2022": NFHS_FOULS,
        "youth": NFHS_FOULS,
        "ncaa-men": MEN_FOULS,
        "ncaa-women": WOMEN_FOULS,
    }.items()
    for line in text.strip().splitlines()
]


@pytest.mark.parametrize(("name", "charged", "kind", "expected"), TABLE)
def test_every_kind_of_foul_under_every_rule_set(
    name: str, charged: str, kind: str, expected: str
) -> None:
    rules = rule_set(name)
    rule = rules.fouls.rule(Charged(charged), kind)
    if expected == "-":
        assert rule is None
        return
    assert rule is not None
    number = "4" if charged == "player" else None
    assert rules.is_team_foul(Foul(Side.HOME, number, Charged(charged), kind)) is (
        "no team" not in expected
    )
    if charged == "player":
        assert rule.to_player is expected.startswith("five")
        assert rule.penalty is Penalty(expected.split()[-1])
        assert rule.to_coach is CoachCharge.NONE
    else:
        assert rule.to_coach is CoachCharge(expected.split()[-1])
        assert rule.penalty is Penalty.OWN
        assert not rule.to_player


@pytest.mark.parametrize("name", NAMES)
def test_the_table_above_leaves_no_kind_out(name: str) -> None:
    listed = {(row[1], row[2]) for row in TABLE if row[0] == name}
    kinds = {(str(r.charged), r.kind) for r in rule_set(name).fouls.kinds}
    assert kinds <= listed


@pytest.mark.parametrize(
    ("name", "kind", "charge"),
    [
        ("fiba-2024", "technical", CoachCharge.NONE),
        ("nfhs-2023", "technical", CoachCharge.INDIRECT),
        ("nfhs-2022", "technical", CoachCharge.INDIRECT),
        ("youth", "technical", CoachCharge.INDIRECT),
        ("nfhs-2023", "personal", CoachCharge.NONE),
    ],
)
def test_a_players_foul_between_periods_may_be_charged_to_the_coach_too(
    name: str, kind: str, charge: CoachCharge
) -> None:
    """NFHS 4-34-2: in an intermission all are bench personnel."""
    rule = rule_set(name).fouls.rule(Charged.PLAYER, kind)
    assert rule is not None
    assert rule.coach_charge(PeriodState(3, is_open=False)) is charge
    assert rule.coach_charge(PeriodState(3, is_open=True)) is CoachCharge.NONE


# Fouls of a player in short, and whether they put him out: FIBA 36/37, 38, 40;
# NFHS 4-14-1; NCAA men the summary of 2008 and flagrant 1 of 2023-24; women 2008.
PLAYER_CASES: dict[str, dict[str, bool]] = {
    "fiba-2024": {
        "PPPP": False,
        "PPPPP": True,
        "PPPPT": True,
        "T": False,
        "TT": True,
        "UU": True,
        "TU": True,
        "UT": True,
        "PPPU": False,
        "D": True,
    },
    "nfhs-2023": {
        "PPPP": False,
        "PPPPP": True,
        "PPPPT": True,
        "TT": True,
        "IIII": False,
        "IT": False,
        "F": True,
    },
    "ncaa-men": {
        "PPPPP": True,
        "PPPPT": True,
        "PPPPB": False,
        "PPPPBB": False,
        "TT": True,
        "TBB": True,
        "TB": False,
        "BBB": True,
        "F": True,
        "11": False,
        "111": True,
    },
    "ncaa-women": {"PPPPT": True, "TT": True, "T": False, "D": True},
}
KIND_OF = {
    "P": "personal",
    "T": "technical",
    "U": "unsportsmanlike",
    "D": "disqualifying",
    "I": "intentional",
    "F": "flagrant",
    "B": "technical_b",
    "1": "flagrant_one",
}
PLAYER_ROWS = [
    (name, letters, is_out)
    for name, cases in PLAYER_CASES.items()
    for letters, is_out in cases.items()
]


@pytest.mark.parametrize(("name", "letters", "is_out"), PLAYER_ROWS)
def test_which_fouls_put_a_player_out(name: str, letters: str, is_out: bool) -> None:  # noqa: FBT001
    kinds = [KIND_OF[letter] for letter in letters]
    assert (rule_set(name).fouls.player_out_by(kinds) is not None) is is_out


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize(
    ("charges", "is_out"),
    [
        ("d", False),
        ("dd", True),
        ("iii", True),
        ("iid", True),
        ("di", False),
        ("o", True),
    ],
)
def test_which_charges_put_a_head_coach_out(
    name: str,
    charges: str,
    is_out: bool,  # noqa: FBT001
) -> None:
    """FIBA 36.2.4 and 36.3.4 (2017); NFHS 10-5 penalty, 2-11-5; NCAA 2008."""
    of = {"d": CoachCharge.DIRECT, "i": CoachCharge.INDIRECT, "o": CoachCharge.OUT}
    says = rule_set(name).fouls.coach_out_by([of[c] for c in charges])
    assert (says is not None) is is_out


def test_a_kind_that_the_code_does_not_have_counts_as_a_usual_one() -> None:
    fouls = rule_set("fiba-2024").fouls
    assert fouls.rule(Charged.PLAYER, "disruptive") is None
    assert fouls.counted_as(Charged.PLAYER, "disruptive").kind == "personal"
    assert fouls.counted_as(Charged.BENCH, "disruptive").kind == "technical"


def test_the_usual_number_of_fouls_is_said_as_the_table_says_it() -> None:
    assert rule_set("nfhs-2023").fouls.player_out_by(["personal"] * 5) == "5th foul"
