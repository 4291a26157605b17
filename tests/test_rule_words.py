from __future__ import annotations

import tomllib
from typing import TYPE_CHECKING

import pytest

from tablesync.core.rulesets import RULE_SETS
from tablesync.core.sources import Sureness, league
from tablesync.rule_file import read_rule_file
from tablesync.rule_settings import SETTINGS
from tablesync.rule_words import own_lines, rule_lines

if TYPE_CHECKING:
    from tablesync.core.rules import RuleSet

HEAD = 'base = "nfhs-2022"\nname = "county"\ntitle = "County league"\n'
ROWS = ("fouls.bonus", "fouls.kinds", "fouls.player_limits", "fouls.coach_limits")


def as_rule_file(rules: RuleSet) -> str:
    """A rule file that sets every value to what is shown of a rule set."""
    content = HEAD
    shown: dict[str, list[str]] = {}
    for line in rule_lines(rules):
        shown.setdefault(line.key, []).append(line.value)
    for setting in SETTINGS:
        values = shown.get(setting.key, [])
        if setting.key in ROWS or setting.key == "playing_time.by_present":
            content += f"{setting.key} = [{', '.join(values)}]\n"
        elif values != ["none"]:
            content += f"{setting.key} = {values[0]}\n"
    return content


@pytest.mark.parametrize("name", RULE_SETS)
def test_what_is_shown_of_a_rule_set_would_set_it_in_a_rule_file(name: str) -> None:
    content = as_rule_file(RULE_SETS[name])
    tomllib.loads(content)
    read = read_rule_file(content, "shown.toml")
    shown = [(line.key, line.value) for line in rule_lines(RULE_SETS[name])]
    again = [(line.key, line.value) for line in rule_lines(read)]
    # What a set has none of is the base's in the file, since none can't be set.
    unset = {key for key, value in shown if value == "none"}
    assert [one for one in again if one[0] not in unset] == [
        one for one in shown if one[0] not in unset
    ]


def test_every_setting_is_shown_in_the_order_of_the_settings() -> None:
    keys = list(dict.fromkeys(line.key for line in rule_lines(RULE_SETS["youth"])))
    assert keys == [setting.key for setting in SETTINGS]


def test_a_leagues_own_values_are_told_from_its_bases() -> None:
    rules = read_rule_file(HEAD + "[periods]\nlength_s = 420.5\n", "county.toml")
    [own] = own_lines(rules)
    assert (own.key, own.value) == ("periods.length_s", "420.5")
    assert own.source == league()
    assert {line.source.sureness for line in rule_lines(rules)} > {Sureness.LEAGUE}
