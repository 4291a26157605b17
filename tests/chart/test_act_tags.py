from __future__ import annotations

from hypothesis import given

from tablesync.chart.act_tags import act_tag
from tablesync.core.acts import Act, Basket, Correction, Side
from tablesync.core.rulesets import rule_set
from tests.scribe import SHEET
from tests.strategies import acts

FIBA = rule_set("fiba-2024")


@given(acts)
def test_every_act_has_a_tag_on_one_line(act: Act) -> None:
    tag = act_tag(act, SHEET, FIBA)
    assert tag
    assert "\n" not in tag


def test_a_tag_names_team_player_and_what() -> None:
    basket = Basket(Side.HOME, "4", 2)
    assert act_tag(basket, SHEET, FIBA) == "white 4 +2"
    correction = Correction(None, basket, 0, "missed")
    assert act_tag(correction, SHEET, FIBA) == "corrected: white 4 +2"
