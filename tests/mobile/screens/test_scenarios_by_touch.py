"""Whole scenarios entered with a finger at both seats, with a real relay between them.

What puts a slip right is not entered again but left to the key of its card. Then both
seats close the period and sign. Everything that a scenario expects has to hold.
"""

from __future__ import annotations

from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from mobile.presenters.cards import CardKind
from mobile.presenters.intents import AskPlayer, Enter
from mobile.presenters.strip import Agreement
from tablesync.core.acts import Answered, Correction, Seat, SignOff, Strike
from tablesync.play.expectations import unmet
from tablesync.scenario import Enter as Step
from tablesync.scenario import Expect, StrikeOut, read_scenario
from tests.mobile.finger import Finger
from tests.mobile.real_table import SEATS, RealTable, run_at_table

if TYPE_CHECKING:
    from mobile.presenters.cards import Answer
    from tablesync.core.acts import Act, EntryId
    from tablesync.core.game import Game
    from tablesync.scenario import Scenario
    from tests.mobile.window import TestWindow

pytestmark = pytest.mark.screens

FOLDER = Path(__file__).resolve().parents[3] / "scenarios"
NAMES = (
    "basket-missed-on-the-board",
    "basket-to-the-wrong-team",
    "two-entered-as-three",
)
"""One slip each, put right by adding, by moving to the other team, by asking whose."""
PERIOD = "1st quarter"


class _Hands:
    """Both officials, who do what a scenario says."""

    def __init__(self, table: RealTable, scenario: Scenario) -> None:
        self._table = table
        self._scenario = scenario
        self._begun_ms = table.clock.now_ms()
        self._labels: dict[EntryId, str] = {}
        self._done: list[Act] = []
        """What a card's key has entered beyond what it was touched for."""
        self.by_card = 0
        self.raised: set[Seat] = set()

    async def play(self) -> None:
        for step in self._scenario.steps:
            await self._table.settle_at(self._begun_ms + step.t_ms)
            self._look_for_mismatch()
            match step:
                case Expect():
                    assert list(unmet(step, self._games(), self._labels)) == []
                case Step():
                    await self._enter(step)
                case _:
                    raise AssertionError(f"{step} needs more than hands")

    def _games(self) -> dict[Seat, Game]:
        return {seat: one.game for seat, one in self._table.sessions.items()}

    def _look_for_mismatch(self) -> None:
        for seat in SEATS:
            cells = self._table.seats[seat].stage.frame.model.strip.cells
            if any(cell.state is Agreement.MISMATCH for cell in cells):
                assert self._table.cards(seat)
                self.raised.add(seat)

    async def _enter(self, step: Step) -> None:
        if step.act in self._done:
            self._done.remove(step.act)
            return
        seat = self._table.seats[step.seat]
        self._table.look_at(step.seat)
        answer = self._answer(step)
        if answer is None:
            assert not isinstance(step.act, StrikeOut)
            await Finger(seat).enter(step.act)
        else:
            self.by_card += 1
            await seat.tap(seat.labelled(answer.label))
            self._done += _beyond(answer, step.act)
        await self._table.settle(0)
        if step.label is not None:
            newest = self._newest(step.seat)
            self._labels.setdefault(newest, step.label)

    def _newest(self, seat: Seat) -> EntryId:
        record = self._table.seats[seat].shell.view().my_record
        acts = (one for one in reversed(record) if not isinstance(one.act, Answered))
        return next(acts).id

    def _answer(self, step: Step) -> Answer | None:
        """The key of the seat's card that does what the step does."""
        for card in self._table.seats[step.seat].stage.frame.model.cards[:1]:
            if card.kind is CardKind.FINDING:
                answer: Answer = card.answers[0]
                return answer if _does(answer, step.act) else None
        return None


def _does(answer: Answer, act: Act | StrikeOut) -> bool:
    match answer.intent, act:
        case AskPlayer(strikes=strikes), StrikeOut():
            return strikes is not None
        case Enter(acts=acts), StrikeOut():
            return any(isinstance(one, Strike) for one in acts)
        case Enter(acts=acts), _:
            return any(_meant(one) == act for one in acts)
        case _:
            return False


def _meant(act: Act) -> Act | None:
    """The act that an entry adds, be it in its place by a correction."""
    return act.act if isinstance(act, Correction) else act


def _beyond(answer: Answer, act: Act | StrikeOut) -> list[Act]:
    if not isinstance(answer.intent, Enter):
        return []
    others = (one for one in answer.intent.acts if _meant(one) != act)
    return [one for one in others if not isinstance(one, Strike | Answered)]


@pytest.mark.parametrize("name", NAMES)
def test_a_scenario_is_entered_by_touch_put_right_by_card_and_signed(
    window: TestWindow, tmp_path: Path, name: str
) -> None:
    scenario = read_scenario(FOLDER / f"{name}.jsonl")

    async def play(table: RealTable) -> None:
        table.sheet = scenario.sheet
        await table.open()
        hands = _Hands(table, scenario)
        await hands.play()
        assert hands.by_card == 1
        assert hands.raised == set(SEATS)
        await _end(table)

    run_at_table(window, tmp_path, play)


async def _end(table: RealTable) -> None:
    """Closes the period at both seats and signs, first the officials."""
    await table.settle(60_000)
    for seat in (Seat.CLOCK, Seat.BOOK):
        await table.tap(seat, f"end {PERIOD}")
        await table.tap(seat, f"close the {PERIOD}")
    signers = ((Seat.BOOK, "I. Wetherby"), (Seat.CLOCK, "R. Salter"))
    for seat, signer in signers:
        await table.tap(seat, "more")
        await table.tap(seat, "sign off")
        await table.tap(seat, f"sign: {signer}")
    for seat, signer in signers:
        record = table.seats[seat].shell.view().my_record
        signed = [entry.act.name for entry in record if isinstance(entry.act, SignOff)]
        assert signed == [signer]
    findings = chain(*(one.game.open_findings() for one in table.sessions.values()))
    assert list(findings) == []
