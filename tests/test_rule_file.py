from __future__ import annotations

from dataclasses import replace

import pytest

from tablesync.core.acts import Charged
from tablesync.core.arrow_rules import Opening
from tablesync.core.foul_rules import Award, BonusStep
from tablesync.core.roster_rules import RosterRules, ShirtNumbers
from tablesync.core.rulesets import rule_set
from tablesync.core.sources import Sureness, league
from tablesync.core.time_out_rules import Allowance, CarryOver, LateLimit
from tablesync.errors import RuleFileError
from tablesync.rule_file import read_rule_file
from tablesync.rule_settings import SETTINGS
from tablesync.sheet_rules import rules_of
from tests.scribe import SHEET

HEAD = """
base = "nfhs-2022"
name = "county-under-14"
title = "County league, under 14"
"""
EVERYTHING = """
base = "nfhs-2022"
name = "county-under-14"
title = "County league, under 14"
closed_by = "the referee's signature"

[periods]
number = 2
name = "half"
length_s = 900
overtime_s = 90.5

[intervals]
between_s = 30
half_time_s = 300
before_overtime_s = 45
signals_left_s = [20, 0]
half_signals_left_s = [60, 20, 0]

[fouls]
player_limit = 6
periods_per_span = 1
overtime_joins_last = false
bonus = [{ from_count = 8, award = "two_shots" }]
player_limits = [{ number = 2, kinds = ["technical"], says = "two technicals" }]
coach_limits = [{ number = 1, charges = ["direct", "out"], says = "a technical" }]

[[fouls.kinds]]
charged = "player"
kind = "personal"
title = "personal foul"
letter = "P"
penalty = "by_count"
to_team = true
to_player = true
to_coach = "none"
adds_between = "none"

[[fouls.kinds]]
charged = "player"
kind = "technical"
title = "technical foul"
letter = "T"
penalty = "own"
to_team = true
to_player = true
to_coach = "none"
adds_between = "indirect"

[[fouls.kinds]]
charged = "coach"
kind = "technical"
title = "technical foul"
letter = "T"
penalty = "own"
to_team = false
to_player = false
to_coach = "direct"
adds_between = "none"

[[fouls.kinds]]
charged = "bench"
kind = "technical"
title = "technical foul"
letter = "T"
penalty = "own"
to_team = false
to_player = false
to_coach = "indirect"
adds_between = "none"

[time_outs]
full_s = 75
short_s = 0
game = { full = 4, short = 0 }
into_second_half = { full = 2, short = 0, total = 2 }
second_half = { full = 1, short = 0 }
into_overtime = { full = 0, short = 0, total = 0 }
overtime = { full = 2, short = 0 }
late_limit = { number = 1, remaining_s = 60 }
signals_left_s = [5]

[roster]
numbers = "up_to_99"
both_noughts = true
most_players = 10

[arrow]
later_periods = "jump_ball"
overtimes = "arrow"

[playing_time]
by_present = [{ least_present = 8, whole = 1, most = 2, out = 0 }]
"""


def test_what_the_file_does_not_set_is_the_bases() -> None:
    rules = read_rule_file(HEAD + "[periods]\nlength_s = 420\n", "county.toml")
    base = rule_set("nfhs-2022")
    assert (rules.name, rules.title) == ("county-under-14", "County league, under 14")
    assert rules.period_ms == 420_000
    assert rules.sources["period_ms"].sureness is Sureness.LEAGUE
    assert rules.sources["overtime_ms"] == base.sources["overtime_ms"]
    same = replace(
        base,
        name=rules.name,
        title=rules.title,
        period_ms=420_000,
        sources=rules.sources,
    )
    assert rules == same


def test_every_value_of_a_rule_set_can_be_set() -> None:
    rules = read_rule_file(EVERYTHING, "county.toml")
    assert rules.closed_by == "the referee's signature"
    assert (rules.periods, rules.period_name) == (2, "half")
    assert (rules.period_ms, rules.overtime_ms) == (900_000, 90_500)
    assert rules.interval_ms(2) == 300_000
    assert rules.interval_ms(3) == 45_000
    assert rules.intervals.between_ms == 30_000
    assert rules.interval_signals(2) == (60_000, 20_000, 0)
    assert rules.interval_signals(3) == (20_000, 0)
    fouls = rules.fouls
    assert (fouls.player_limit, fouls.periods_per_span) == (6, 1)
    assert list(rules.foul_span(3)) == [3]
    assert fouls.bonus == (BonusStep(8, Award.TWO_SHOTS, league()),)
    assert fouls.player_out_by(["technical"] * 2) == "two technicals"
    assert [rule.charged for rule in fouls.kinds] == [
        Charged.PLAYER,
        Charged.PLAYER,
        Charged.COACH,
        Charged.BENCH,
    ]
    time_outs = rules.time_outs
    assert (time_outs.full_ms, time_outs.short_ms) == (75_000, 0)
    assert time_outs.game == Allowance(4, 0)
    assert time_outs.into_second_half == CarryOver(2, 0, 2)
    assert time_outs.late_limit == LateLimit(1, 60_000)
    assert time_outs.signals_left_ms == (5_000,)
    assert rules.roster == RosterRules(
        ShirtNumbers.UP_TO_99, both_noughts=True, most_players=10
    )
    assert rules.opening(2) is Opening.JUMP_BALL
    assert rules.opening(3) is Opening.ARROW
    rule = rules.playing_time.for_present(9)
    assert rule is not None
    assert (rule.whole, rule.most, rule.out) == (1, 2, 0)
    assert {source.sureness for source in rules.sources.values()} == {Sureness.LEAGUE}


def test_every_field_of_a_rule_set_has_a_key() -> None:
    with_source = set(rule_set("fiba-2024").sources)
    rows = {
        "fouls.kinds",
        "fouls.bonus",
        "fouls.player_limits",
        "fouls.coach_limits",
        "playing_time.by_present",
    }
    assert {setting.path for setting in SETTINGS} == with_source | rows


def test_a_code_with_other_foul_classes_is_data_alone() -> None:
    """FIBA from 1 October 2026, as a second-hand account has its classes."""
    kinds = "".join(
        f'[[fouls.kinds]]\ncharged = "{charged}"\nkind = "{kind}"\n'
        f'title = "{kind} foul"\nletter = "{letter}"\npenalty = "own"\n'
        f"to_team = {team}\nto_player = {team}\n"
        f'to_coach = "{coach}"\nadds_between = "none"\n'
        for charged, kind, letter, team, coach in [
            ("player", "personal", "P", "true", "none"),
            ("player", "technical", "T", "true", "none"),
            ("player", "disruptive", "DR", "true", "none"),
            ("player", "flagrant", "F", "true", "none"),
            ("coach", "technical", "C", "false", "direct"),
            ("bench", "technical", "B", "false", "indirect"),
        ]
    )
    limits = 'player_limits = [{ number = 1, kinds = ["flagrant"], says = "flagrant" }]'
    content = (
        'base = "fiba-2024"\nname = "fiba-2026"\ntitle = "FIBA 2026"\n'
        f"[fouls]\n{limits}\n{kinds}"
    )
    rules = read_rule_file(content, "fiba-2026.toml")
    assert rules.fouls.rule(Charged.PLAYER, "disruptive") is not None
    assert rules.fouls.rule(Charged.PLAYER, "unsportsmanlike") is None
    assert rules.fouls.player_out_by(["flagrant"]) == "flagrant"


def test_the_rules_of_a_game_are_those_its_sheet_names_or_carries() -> None:
    assert rules_of(SHEET) == rule_set("fiba-2024")
    own = replace(SHEET, rules="county-under-14", rule_text=HEAD)
    assert rules_of(own).name == "county-under-14"
    with pytest.raises(RuleFileError, match="the game sheet's rules: base is missing"):
        rules_of(replace(SHEET, rule_text='name = "x"'))
    with pytest.raises(RuleFileError, match="no rule set 'fiba-1932'"):
        rules_of(replace(SHEET, rules="fiba-1932"))


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (
            "base = ",
            "it is no TOML (Invalid value (at end of document)); expected TOML",
        ),
        ("", "base is missing; expected text of 1 to 80 characters"),
        (
            HEAD.replace("nfhs-2022", "nfhs-1999"),
            "base is 'nfhs-1999'; expected fiba-2024, nfhs-2023, nfhs-2022, ncaa-men, "
            "ncaa-women, youth",
        ),
        (
            HEAD.replace("county-under-14", "fiba-2024"),
            "name is 'fiba-2024'; expected a new name of small letters, digits and "
            "hyphens",
        ),
        (
            HEAD + "colour = 3",
            "there is no key colour; expected one of base, name, title, closed_by, "
            "[arrow], [fouls], [intervals], [periods], [playing_time], [roster], "
            "[time_outs]",
        ),
        (
            HEAD + "[periods]\nlenght_s = 3",
            "there is no key periods.lenght_s; expected one of periods.number, "
            "periods.name, periods.length_s, periods.overtime_s",
        ),
        (HEAD + "periods = 4", "periods is 4; expected a table [periods]"),
        (
            HEAD + "[periods]\nlength_s = true",
            "periods.length_s is True; expected seconds from 0.1 to 3600",
        ),
        (
            HEAD + "[periods]\nlength_s = 0",
            "periods.length_s is 0; expected seconds from 0.1 to 3600",
        ),
        (HEAD + "[periods]\nnumber = 3", "periods.number is 3; expected 2 or 4"),
        (
            HEAD + "[periods]\nnumber = 2",
            "fouls.periods_per_span is 2; expected 1, where there are 2 periods",
        ),
        (
            HEAD + "[intervals]\nsignals_left_s = [0, 15]",
            "intervals.signals_left_s is [0, 15]; expected falling seconds before the "
            "end, such as [15, 0]",
        ),
        (
            HEAD + "[intervals]\nsignals_left_s = 15",
            "intervals.signals_left_s is 15; expected falling seconds before the end, "
            "such as [15, 0]",
        ),
        (
            HEAD + "[fouls]\nbonus = [{ from_count = 7 }]",
            "in fouls.bonus a row has from_count; expected from_count, award",
        ),
        (
            HEAD + '[fouls]\nbonus = [{ from_count = 7, award = "gold" }]',
            "in fouls.bonus award of a row is 'gold'; expected a value that has sense "
            "there",
        ),
        (
            HEAD + "[fouls]\nbonus = 7",
            "fouls.bonus is 7; expected rows such as { from_count = 7, award = "
            '"one_and_one" }',
        ),
        (
            HEAD + "[fouls]\nbonus = [7]",
            "fouls.bonus is [7]; expected rows such as { from_count = 7, award = "
            '"one_and_one" }',
        ),
        (
            HEAD + '[fouls]\nbonus = [{ from_count = 9, award = "two_shots" }, '
            '{ from_count = 7, award = "two_shots" }]',
            "fouls.bonus counts [9, 7]; expected rising counts",
        ),
        (
            HEAD + "[fouls]\nkinds = []",
            "fouls.kinds has none charged to the player; expected at least one",
        ),
        (
            HEAD + '[fouls]\nplayer_limits = [{ number = 1, kinds = ["hacking"], '
            'says = "hacking" }]',
            "fouls.player_limits names hacking; expected kinds of foul that a player "
            "can have",
        ),
        (
            HEAD + "[playing_time]\nby_present = ["
            "{ least_present = 8, whole = 1, most = 2, out = 0 }, "
            "{ least_present = 8, whole = 1, most = 2, out = 0 }]",
            "playing_time.by_present begins at [8, 8]; expected rising numbers present",
        ),
    ],
)
def test_what_is_wrong_is_named_with_what_was_expected(
    content: str, sentence: str
) -> None:
    with pytest.raises(RuleFileError) as refused:
        read_rule_file(content, "county.toml")
    assert str(refused.value) == f"county.toml: {sentence}"
