"""The steps of a replay as lines to read: when, who, what."""

from __future__ import annotations

from enum import Enum, auto
from typing import TYPE_CHECKING

from tablesync.core.act_subjects import target_of
from tablesync.core.findings import Cleared, Raised, Revised
from tablesync.frozen import dataclass
from tablesync.plain_text import printable
from tablesync.replay.replay import EntryStep, FindingStep, NoticeStep
from tablesync.replay.wording import ENGLISH

if TYPE_CHECKING:
    from tablesync.core.acts import Act, EntryId
    from tablesync.core.entries import Entry
    from tablesync.core.findings import CheckEvent, Finding
    from tablesync.replay.replay import Moment, Replay, Step
    from tablesync.replay.wording import Wording

__all__ = ["Line", "Narrator", "Sign"]


class Sign(Enum):
    """What kind of line it is."""

    ENTERED = auto()
    REACHING_BACK = auto()
    """A strike or a correction."""
    DIFFERS = auto()
    AGREES = auto()
    TOLD = auto()


@dataclass(frozen=True, slots=True)
class Line:
    """One step as a line."""

    position: int
    """The position right after the step."""
    number: int | None
    """Of an entry: its number in the common order, from 1."""
    moment: str
    """Period and clock: "2nd 3:07"."""
    at_s: float
    """Seconds since the first entry."""
    sign: Sign
    who: str
    """The seat; of a finding or a notice, what it is."""
    text: str


class Narrator:
    """Tells the steps of one replay."""

    def __init__(self, replay: Replay, wording: Wording = ENGLISH) -> None:
        self.wording = wording
        self._replay = replay
        self._first_ms = replay.steps[0].at_ms if replay.steps else 0
        entered = (
            step.entry.id for step in replay.steps if isinstance(step, EntryStep)
        )
        self._numbers = {id_: number for number, id_ in enumerate(entered, start=1)}
        self._struck = {
            id_ for _, record in replay.end.records for id_ in record.record.struck
        }

    def line(self, position: int) -> Line:
        """The step right before a position."""
        step = self._replay.steps[position - 1]
        sign, who, text = self._told(step)
        number = self._numbers[step.entry.id] if isinstance(step, EntryStep) else None
        return Line(
            position,
            number,
            self.moment(step.at_ms),
            self.at_s(step),
            sign,
            who,
            printable(text),
        )

    def moment(self, at_ms: int) -> str:
        """A table time as period and clock."""
        return self.wording.moment(self._replay.reading(at_ms), self._replay.rules)

    def at_s(self, step: Step | Moment) -> float:
        """The seconds since the first entry."""
        return (step.at_ms - self._first_ms) / 1_000

    def number(self, entry: Entry) -> int:
        """The number of an entry in the common order, from 1."""
        return self._numbers[entry.id]

    def entry(self, entry: Entry) -> str:
        """What an entry says, and of one that reaches back, to what."""
        words = self._act(entry.act)
        target = target_of(entry.act)
        if target is not None:
            words += f" [{self._named(target)}]"
        return words

    def _act(self, act: Act) -> str:
        return self.wording.act(act, self._replay)

    def _named(self, id_: EntryId) -> str:
        if not self._replay.history.holds(id_):
            return self.wording.not_on_record(str(id_))
        act = self._replay.history[id_].act
        return f"#{self._numbers[id_]} {self._act(act)}"

    def _told(self, step: Step) -> tuple[Sign, str, str]:
        words = self.wording
        match step:
            case EntryStep(entry=entry):
                sign = (
                    Sign.ENTERED if target_of(entry.act) is None else Sign.REACHING_BACK
                )
                later = f" ({words.struck_later})" if entry.id in self._struck else ""
                return sign, words.seat(entry.seat), self.entry(entry) + later
            case NoticeStep(notice=notice):
                text = words.sentence(notice.says, self._replay.rules)
                return Sign.TOLD, words.told, f"{text} [{notice.id}]"
            case FindingStep(event=event):
                return self._found(event, step.finding)

    def _found(self, event: CheckEvent, finding: Finding) -> tuple[Sign, str, str]:
        words = self.wording
        text = f"{words.finding(finding, self._replay)} [{finding.id}]"
        match event:
            case Raised():
                return Sign.DIFFERS, words.found, text
            case Revised():
                return Sign.DIFFERS, words.rather, text
            case Cleared(how=how):
                about = words.item(finding.item)
                if finding.side is not None:
                    team = self._replay.sheet.teams[finding.side].name
                    about = words.item_of(about, team)
                return Sign.AGREES, words.over, f"{about}: {words.how(how)}"
