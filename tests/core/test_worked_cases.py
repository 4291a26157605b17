"""Worked cases of the codes, replayed: what the record holds, and who must be told.

They are numbered W1 to W41 as in the collection of rule facts with which the project
began. Each test names the article, case or clip that gives the outcome; where a case
also has rulings that the table only watches, its record alone is here.

Left out:

- W12, a time-out not granted after the own goal in the last two minutes (FIBA 18.2.8),
  and W24, a second one refused in the dead period after time (NFHS case 5.11.7 A): the
  referees refuse it, so nothing is entered and the table tells nobody;
- W13, a held ball before any control (FIBA interpretations Art. 12): a new jump ball,
  for which the table has no act, and no entry of the arrow.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from tablesync.core.acts import (
    Act,
    Arrow,
    Basket,
    ClosePeriod,
    Correction,
    Foul,
    FreeThrow,
    OpenPeriod,
    OwnBasket,
    Side,
    Signer,
    SignOff,
    Strike,
    Substitution,
    TimeOut,
    TimeOutLength,
)
from tablesync.core.foul_rules import Award, CoachCharge
from tablesync.core.notices import NoticeKind
from tablesync.core.rulesets import rule_set
from tablesync.core.tally import PerSide
from tablesync.core.time_outs import account_at
from tests.scribe import BookDesk, bench_foul, coach_foul, foul

if TYPE_CHECKING:
    from tablesync.core.rules import RuleSet

FIBA, NFHS, OLD = rule_set("fiba-2024"), rule_set("nfhs-2023"), rule_set("nfhs-2022")
MEN, WOMEN = rule_set("ncaa-men"), rule_set("ncaa-women")
A, B = Side.HOME, Side.AWAY
DIRECT, INDIRECT = CoachCharge.DIRECT, CoachCharge.INDIRECT
FULL, SHORT = TimeOutLength.FULL, TimeOutLength.SHORT


def in_period(desk: BookDesk, period: int, *acts: Act) -> BookDesk:
    """The desk once it has opened that period, and entered what is given."""
    desk.enter(OpenPeriod(period), *acts)
    return desk


def texts(desk: BookDesk, kind: NoticeKind) -> list[str]:
    return [notice.text for notice in desk.notices if notice.kind is kind]


def baskets(side: Side, number: str, points: int) -> list[Act]:
    """So many points in twos, and a free throw where the number is odd."""
    acts: list[Act] = [Basket(side, number, 2)] * (points // 2)
    return acts + [FreeThrow(side, number, made=True)] * (points % 2)


def fouls(side: Side, number: str, letters: str) -> list[Act]:
    kinds = {"P": "personal", "T": "technical", "U": "unsportsmanlike"}
    return [foul(side, number, kinds[letter]) for letter in letters]


def left(desk: BookDesk, side: Side, period: int) -> tuple[int, int]:
    """Full and short time-outs left."""
    time_outs = desk.book.pages[side].time_outs
    account = account_at(desk.rules, time_outs, desk.clock, (period, desk.now_ms))
    return account.left.full, account.left.short


def test_w1_a_missed_free_throw_entered_as_made_is_set_right_before_the_signature() -> (
    None
):
    """FIBA 44.2.6 and 48.3; a league's statement of October 2023."""
    desk = in_period(BookDesk(FIBA), 4, *baskets(A, "4", 74), *baskets(B, "12", 73))
    wrong = desk.enter(FreeThrow(B, "13", made=True))
    desk.enter(ClosePeriod(4))
    assert desk.book.tally.score == PerSide(74, 74)
    missed = FreeThrow(B, "13", made=False)
    desk.enter(Correction(wrong.id, missed, None, "the free throw was missed"))
    assert desk.book.tally.score == PerSide(74, 73)
    assert desk.book.pages[B].lines["13"].ft_attempted == 1
    assert desk.book.periods.last == 4


def test_w2_none_taken_before_the_last_two_minutes_leaves_one_after_the_first() -> None:
    """FIBA 18.2.5; an interpreter's answer of January 2021."""
    desk = in_period(BookDesk(FIBA), 4)
    desk.show(4, 90_000)
    assert left(desk, A, 4) == (2, 0)
    desk.enter(TimeOut(A, FULL))
    assert left(desk, A, 4) == (1, 0)
    assert texts(desk, NoticeKind.TIME_OUTS_SPENT) == []
    desk.enter(TimeOut(A, FULL))
    assert texts(desk, NoticeKind.TIME_OUTS_SPENT) == [
        "White has no time-outs left in the 2nd half."
    ]
    assert desk.told(TimeOut(A, FULL)) == ["White has taken a time-out too many."]


def test_w3_a_throw_in_foul_is_a_personal_and_a_team_foul_and_no_bonus() -> None:
    """FIBA, throw-in foul of 2022; question and answer of October 2022."""
    desk = in_period(BookDesk(FIBA), 4, *fouls(B, "0", "PP"), *fouls(B, "12", "P"))
    assert desk.told(foul(B, "0")) == []
    assert len(desk.book.pages[B].lines["0"].fouls) == 3
    assert desk.book.tally.fouls_in(4, B) == 4
    assert FIBA.fouls.award(4) is Award.THROW_IN


def test_w4_a_free_throw_given_by_mistake_goes_and_the_foul_stays() -> None:
    """FIBA 44 (2014); clip FA1734."""
    desk = in_period(BookDesk(FIBA), 2, *fouls(B, "12", "PPP"))
    assert desk.told(foul(B, "13")) == []
    shot = desk.enter(FreeThrow(A, "4", made=True))
    desk.enter(Correction(shot.id, None, None, "no bonus: the fourth team foul"))
    assert desk.book.tally.score == PerSide(0, 0)
    assert desk.book.pages[A].lines["4"].ft_attempted == 0
    assert desk.book.tally.fouls_in(2, B) == 4


def test_w5_a_coachs_second_own_technical_puts_him_out() -> None:
    """FIBA 36.3.4 and 42 (2017); clip FA1829."""
    desk = in_period(BookDesk(FIBA), 4)
    assert desk.told(coach_foul(A)) == []
    assert desk.told(coach_foul(A)) == [
        "White's coach is out: two technical fouls of the coach's own."
    ]
    assert desk.told(coach_foul(B)) == []
    assert desk.book.tally.team_fouls == PerSide((), ())


def test_w6_an_unsportsmanlike_and_a_technical_foul_put_a_player_out() -> None:
    """FIBA 42, 36/37; clip FA1718, with the combination of 2017."""
    desk = in_period(BookDesk(FIBA), 1)
    assert desk.told(*fouls(A, "6", "U"), *fouls(B, "12", "T")) == []
    assert desk.told(*fouls(A, "6", "T")) == [
        "White 6 is out: a technical and an unsportsmanlike foul."
    ]
    assert desk.book.tally.fouls_in(1, A) == 2
    assert desk.book.tally.fouls_in(1, B) == 1


def test_w7_a_technical_and_later_an_unsportsmanlike_foul() -> None:
    """FIBA 40.4."""
    desk = in_period(BookDesk(FIBA), 1, *fouls(A, "7", "T"))
    desk.enter(ClosePeriod(1), OpenPeriod(3))
    assert desk.told(*fouls(A, "7", "U")) == [
        "White 7 is out: a technical and an unsportsmanlike foul."
    ]


def test_w8_a_coach_disrespectful_in_two_quarters() -> None:
    """A federation's answer on coaches' technicals."""
    desk = in_period(BookDesk(FIBA), 2, coach_foul(A), ClosePeriod(2))
    assert desk.notices == []
    in_period(desk, 4, coach_foul(A))
    assert len(texts(desk, NoticeKind.DISQUALIFIED)) == 1


@pytest.mark.parametrize(
    "third", [coach_foul(A), bench_foul(A)], ids=["his own", "the bench's"]
)
def test_w9_the_benchs_technicals_put_the_coach_out_with_the_third(third: Foul) -> None:
    """FIBA 36.2.4 (2022)."""
    desk = in_period(BookDesk(FIBA), 1, bench_foul(A), bench_foul(A))
    assert desk.notices == []
    assert desk.told(third) == [
        "White's coach is out: three technical fouls, the bench's included."
    ]
    assert desk.book.tally.team_fouls == PerSide((), ())


def test_w10_a_foul_after_the_horn_is_the_next_quarters() -> None:
    """FIBA interpretations, Art. 8."""
    desk = in_period(BookDesk(FIBA), 1, ClosePeriod(1), *fouls(B, "12", "U"))
    desk.enter(OpenPeriod(2))
    assert desk.book.tally.fouls_in(1, B) == 0
    assert desk.book.tally.fouls_in(2, B) == 1


@pytest.mark.parametrize(
    ("rules", "before", "after"),
    [
        pytest.param(
            FIBA, A, B, id="w11 violation in the throw-in: FIBA 12.5.5 (2014)"
        ),
        pytest.param(NFHS, None, A, id="w29 violation of the jump: NFHS 6-4-1, 4-3-3a"),
        pytest.param(NFHS, None, A, id="w30 foul during the toss: NFHS case 6.4.1 E c"),
        pytest.param(NFHS, A, B, id="w31 violation in the throw-in: NFHS case 6.4.6 A"),
        pytest.param(MEN, None, A, id="w40 illegal catch of the toss: NCAA A.R. 151"),
    ],
)
def test_w11_w29_w30_w31_w40_the_arrow_is_where_it_was_last_turned(
    rules: RuleSet, before: Side | None, after: Side
) -> None:
    desk = in_period(BookDesk(rules), 1)
    if before is not None:
        desk.enter(Arrow(before))
    assert desk.book.tally.arrow is before
    desk.enter(Arrow(after))
    assert desk.book.tally.arrow is after


def test_w14_an_own_basket_is_the_captains_under_fiba() -> None:
    """FIBA interpretations, Art. 12: credited to the opponents' captain on court."""
    desk = in_period(BookDesk(FIBA), 1, Basket(A, "4", 2))
    assert desk.book.tally.score == PerSide(2, 0)
    assert desk.book.pages[A].lines["4"].points == 2


def test_w14_an_own_basket_is_nobodys_under_nfhs() -> None:
    """NFHS 5-2-3: a footnote, no player."""
    desk = in_period(BookDesk(NFHS), 1, OwnBasket(A, 2))
    assert desk.book.tally.score == PerSide(2, 0)
    assert {line.points for line in desk.book.pages[A].lines.values()} == {0}


def test_w15_the_tenth_team_foul_was_the_ninth() -> None:
    """NFHS case 2.10.1 E (before 2023-24)."""
    desk = in_period(BookDesk(OLD), 3, *fouls(B, "12", "PP"), *fouls(B, "13", "PP"))
    desk.enter(*fouls(B, "14", "PPPP"))
    twice = desk.enter(foul(B, "15"))
    desk.enter(foul(B, "15"))
    assert [n.kind for n in desk.notices if n.kind is not NoticeKind.BOOK_CHECK] == [
        NoticeKind.BONUS,
        NoticeKind.DOUBLE_BONUS,
    ]
    desk.enter(FreeThrow(A, "4", made=False))
    second = desk.enter(FreeThrow(A, "4", made=True))
    desk.enter(Strike(twice.id))
    desk.enter(Correction(second.id, None, None, "the ninth team foul, and a miss"))
    assert desk.book.tally.fouls_in(3, B) == 9
    assert OLD.fouls.award(9) is Award.ONE_AND_ONE
    assert desk.book.tally.score == PerSide(0, 0)


def test_w16_the_table_speaks_at_the_fifth_team_foul_itself() -> None:
    """NFHS 2-10-1a, play of the day: the shots missed then open the next quarter."""
    desk = in_period(BookDesk(NFHS), 2, *fouls(B, "12", "PPP"), *fouls(B, "13", "P"))
    assert desk.told(foul(B, "14")) == [
        "Blue: 5th team foul of the 2nd quarter, white shoots two."
    ]
    desk.enter(Basket(A, "5", 3), ClosePeriod(2), OpenPeriod(3))
    desk.enter(FreeThrow(A, "4", made=True), FreeThrow(A, "4", made=True))
    assert desk.book.pages[A].points_by_period == (0, 3, 2)


def test_w17_a_fifth_foul_found_late_counts_and_so_do_the_points_in_between() -> None:
    """NFHS case 10.6.3 a."""
    desk = in_period(BookDesk(NFHS), 2, *fouls(A, "5", "PPPP"))
    missed_at = desk.now_ms + 500
    desk.enter(Basket(A, "5", 2), Basket(A, "5", 2))
    late = Correction(None, foul(A, "5"), missed_at, "the fifth foul was not entered")
    assert desk.told(late)[0] == "White 5 is out: 5th foul."
    assert desk.book.tally.score[A] == 4
    assert desk.book.pages[A].lines["5"].points == 4


def test_w18_a_player_told_to_be_out_comes_back() -> None:
    """NFHS case 10.6.3 b."""
    desk = in_period(BookDesk(NFHS), 3, *fouls(A, "5", "PPPPP"))
    desk.enter(Substitution(A, ("9",), ("5",)), ClosePeriod(3))
    assert desk.told(Substitution(A, ("5",), ("9",))) == [
        "White 5 is out of the game, and came on."
    ]
    assert desk.told(OpenPeriod(4)) == ["White 5 is out of the game, but on court."]
    desk.enter(coach_foul(A))
    assert list(desk.book.pages[A].coach_charges) == [DIRECT]


def test_w19_four_personals_and_a_technical_are_five() -> None:
    """NFHS case 4.14.1 B: no indirect technical for the coach."""
    desk = in_period(BookDesk(NFHS), 1, *fouls(A, "4", "PPPP"))
    assert desk.told(*fouls(A, "4", "T"))[0] == "White 4 is out: 5th foul."
    assert list(desk.book.pages[A].coach_charges) == []


def test_w20_points_shot_before_the_table_speaks_stand() -> None:
    """NFHS case 4.14.1 D."""
    desk = in_period(BookDesk(NFHS), 1, *fouls(A, "4", "PPPP"), foul(B, "12"))
    assert desk.told(*fouls(A, "4", "T"))[0] == "White 4 is out: 5th foul."
    shots = [FreeThrow(A, "4", made=True)] * 2
    assert desk.told(*shots) == ["White 4 was out of the game already."] * 2
    assert desk.book.tally.score == PerSide(2, 0)


def test_w21_two_indirect_and_a_direct_technical_eject_the_coach() -> None:
    """NFHS cases 10.5 and 10.5.1 A."""
    desk = in_period(BookDesk(NFHS), 1, bench_foul(A), bench_foul(A))
    assert desk.notices == []
    assert desk.told(coach_foul(A)) == [
        "White's coach is out: three technical fouls, direct and indirect."
    ]
    assert list(desk.book.pages[A].coach_charges) == [INDIRECT, INDIRECT, DIRECT]


def test_w22_a_players_technical_in_an_intermission_is_the_coachs_too() -> None:
    """NFHS case 4.34.2."""
    desk = in_period(BookDesk(NFHS), 3, ClosePeriod(3))
    desk.enter(*fouls(A, "4", "T"), *fouls(B, "12", "T"), OpenPeriod(4))
    for side in Side:
        assert list(desk.book.pages[side].coach_charges) == [INDIRECT]
        assert desk.book.tally.fouls_in(4, side) == 1


def test_w23_a_short_time_out_with_none_left_takes_the_last_full_one() -> None:
    """NFHS case 5.12.1 B, 2-11-6."""
    desk = in_period(BookDesk(NFHS), 1, *[TimeOut(A, FULL)] * 2)
    desk.enter(*[TimeOut(A, SHORT)] * 2)
    assert left(desk, A, 1) == (1, 0)
    assert desk.told(TimeOut(A, SHORT)) == ["White has no time-outs left."]
    assert left(desk, A, 1) == (0, 0)


def test_w25_free_throws_for_a_technical_after_the_horn_decide_the_game() -> None:
    """NFHS case 2.2.4 A: 62-61 at the horn, so they belong to the game played."""
    desk = in_period(BookDesk(NFHS), 4, *baskets(A, "4", 62), *baskets(B, "12", 61))
    desk.enter(ClosePeriod(4), coach_foul(A))
    desk.enter(*[FreeThrow(B, "12", made=True)] * 2)
    assert desk.book.tally.score == PerSide(62, 63)
    assert len(desk.book.pages[B].points_by_period) == 4


def test_w26_w27_the_referees_signature_ends_the_time_for_corrections() -> None:
    """NFHS cases 2.2.4 B and C: correctable until the officials are gone."""
    desk = in_period(BookDesk(NFHS), 4, *baskets(A, "4", 61))
    missed_at = desk.now_ms - 500
    desk.enter(*baskets(B, "12", 64), ClosePeriod(4))
    desk.enter(Correction(None, Basket(A, "5", 2), missed_at, "left out"))
    assert desk.book.tally.score == PerSide(63, 64)
    desk.enter(SignOff(Signer.REFEREE, "R. Fen"))
    desk.enter(Correction(None, Basket(A, "5", 2), missed_at, "left out as well"))
    assert desk.book.tally.score == PerSide(63, 64)
    assert len(desk.book.record.too_late) == 1


def test_w28_a_player_who_is_not_in_the_book_is_entered_and_costs_the_team() -> None:
    """NFHS case 3.2.2 C: a technical to the team, not to the coach."""
    desk = in_period(BookDesk(NFHS), 2)
    assert desk.told(Substitution(A, ("25",), ("4",))) == [
        "White 25 is not on the sheet."
    ]
    desk.enter(Basket(A, "25", 2))
    assert desk.told(bench_foul(A, "administrative")) == []
    assert desk.book.tally.fouls_in(2, A) == 1
    assert list(desk.book.pages[A].coach_charges) == []
    assert desk.book.pages[A].lines["25"].points == 2


def test_w32_a_turn_of_the_arrow_by_mistake_is_struck() -> None:
    """NFHS 7-6-6 (from 2023): correctable, and then the arrow is as before."""
    desk = in_period(BookDesk(NFHS), 1, Arrow(B))
    wrong = desk.enter(Arrow(A))
    desk.enter(Strike(wrong.id))
    assert desk.book.tally.arrow is B


def test_w33_the_player_is_said_to_be_out_before_the_time_out_is_charged() -> None:
    """NFHS case 5.8.3 A."""
    desk = in_period(BookDesk(NFHS), 1, *fouls(A, "4", "PPPP"))
    told = desk.told(foul(A, "4"), TimeOut(A, FULL))
    assert told[0] == "White 4 is out: 5th foul."
    causes = [notice.entry.number for notice in desk.notices]
    assert causes[0] == 6


def test_w34_a_second_player_who_is_not_in_the_book_adds_no_technical() -> None:
    """NFHS 10-1, 10-2, as officials read it: one a team; each player is named."""
    desk = in_period(BookDesk(NFHS), 1, Substitution(A, ("10", "35"), ("4", "5")))
    desk.enter(Substitution(A, ("36",), ("10",)), bench_foul(A, "administrative"))
    desk.enter(Basket(A, "35", 2), Basket(A, "36", 2))
    assert texts(desk, NoticeKind.BOOK_CHECK) == [
        "White 35 is not on the sheet.",
        "White 36 is not on the sheet.",
    ]
    assert desk.book.tally.fouls_in(1, A) == 1


def test_w35_class_a_counts_to_the_five_and_the_team_and_class_b_does_not() -> None:
    """NCAA men, summary of 2008."""
    desk = in_period(BookDesk(MEN), 1, *fouls(A, "4", "PPPP"), *fouls(B, "12", "PPPP"))
    assert desk.told(foul(A, "4", "technical")) == ["White 4 is out: 5th foul."]
    assert desk.told(foul(B, "12", "technical_b")) == []
    assert desk.book.tally.fouls_in(1, A) == 5
    assert desk.book.tally.fouls_in(1, B) == 4


def test_w36_w37_w38_what_goes_into_the_second_half_and_overtime_with_ncaa_women() -> (
    None
):
    """NCAA women's media format 2015-17, plays 1 to 3."""
    one_short = in_period(BookDesk(WOMEN), 1, TimeOut(A, SHORT))
    assert left(one_short, A, 3) == (1, 2)
    one_full = in_period(BookDesk(WOMEN), 1, TimeOut(A, FULL))
    assert left(one_full, A, 3) == (0, 3)
    none = in_period(BookDesk(WOMEN), 1)
    assert left(none, A, 3) == (1, 2)
    assert left(none, A, 5) == (1, 3)


def test_w39_what_goes_into_the_second_half_and_overtime_with_ncaa_men() -> None:
    """NCAA 5-14.10 (2019-20)."""
    desk = in_period(BookDesk(MEN), 1)
    assert left(desk, A, 2) == (1, 2)
    assert left(desk, A, 3) == (1, 3)


def test_w41_a_goal_of_the_second_quarter_found_in_overtime_is_entered_there() -> None:
    """NFHS 5-7-4: the score is corrected, and the overtime is played out."""
    desk = in_period(BookDesk(NFHS), 2, *baskets(A, "4", 10))
    found_at = desk.now_ms + 500
    desk.enter(*baskets(B, "12", 10), ClosePeriod(2))
    desk.enter(OpenPeriod(3), ClosePeriod(3), OpenPeriod(4), ClosePeriod(4))
    desk.enter(OpenPeriod(5))
    desk.enter(Correction(None, Basket(A, "5", 2), found_at, "not recorded then"))
    assert desk.book.tally.score == PerSide(12, 10)
    assert desk.book.pages[A].points_in(2) == 12
    assert desk.book.periods.last == 5
    assert desk.book.periods.is_open


def test_every_case_is_here_or_said_to_be_left_out() -> None:
    assert __doc__ is not None
    tests = " ".join(name for name in globals() if name.startswith("test_w"))
    here = {int(number) for number in re.findall(r"(?<=w)[0-9]+", tests)}
    left_out = {int(number) for number in re.findall(r"W([0-9]+)[, ]+a ", __doc__)}
    assert left_out == {12, 13, 24}
    assert here.isdisjoint(left_out)
    assert here | left_out == set(range(1, 42))
