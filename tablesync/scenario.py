"""Reads a scenario file: the script of one game as its seats entered it.

JSON Lines, version 1: a header, then one object a line. Whatever is unknown, missing or
of the wrong type is refused with the file, the line and what was expected, before
anything is played.
"""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING, TypeAlias

from tablesync.core.act_forms import FORM_BY_NAME, LONGEST_PERIOD_MS, SCENARIO_FORMS
from tablesync.core.acts import Act, Foul, Seat, Side
from tablesync.core.findings import Cause
from tablesync.core.sheet import GameSheet, Player, Team
from tablesync.core.tally import Item, PerSide
from tablesync.errors import FieldError, ScenarioError
from tablesync.frozen import dataclass
from tablesync.sheet_fields import take_officials, take_rules
from tablesync.sheet_rules import rules_of
from tablesync.strict_json import read_object
from tablesync.strict_object import shown

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from tablesync.core.rules import RuleSet
    from tablesync.strict_object import StrictObject

__all__ = [
    "Enter",
    "Expect",
    "ExpectedFinding",
    "LinkChange",
    "LinkState",
    "Scenario",
    "Step",
    "StrikeOut",
    "read_scenario",
]

VERSION = 1
LATEST_S = 1_000_000
MOST_STARTERS = 5
SEATS = (Seat.BOOK, Seat.CLOCK)
FOUL_KINDS = frozenset(
    {
        "personal",
        "offensive",
        "technical",
        "unsportsmanlike",
        "intentional",
        "flagrant",
        "disqualifying",
    }
)


class LinkState(StrEnum):
    """What happens to a seat's connection."""

    DOWN = "down"
    UP = "up"
    REPLACED = "replaced"
    """The seat goes on with a new device; the old one is gone."""


@dataclass(frozen=True, slots=True)
class StrikeOut:
    """A strike, by the label of what it strikes out."""

    label: str


@dataclass(frozen=True, slots=True)
class Enter:
    """An official enters an act."""

    t_ms: int
    seat: Seat
    act: Act | StrikeOut
    label: str | None


@dataclass(frozen=True, slots=True)
class LinkChange:
    """A seat's connection is cut, comes back, or goes on from a new device."""

    t_ms: int
    seat: Seat
    state: LinkState


@dataclass(frozen=True, slots=True)
class ExpectedFinding:
    """A finding that must be open; a label that is None is not looked at."""

    item: Item
    side: Side | None
    cause: Cause
    book_entry: str | None
    board_entry: str | None


@dataclass(frozen=True, slots=True)
class Expect:
    """What must hold at a moment; what is None is not looked at."""

    t_ms: int
    line: int
    seats: tuple[Seat, ...]
    """The seats whose tally the values are."""
    score: PerSide[int] | None
    team_fouls: PerSide[int] | None
    """In the period that the seat has open."""
    time_outs: PerSide[int] | None
    period: int | None
    findings: tuple[ExpectedFinding, ...] | None


Step: TypeAlias = Enter | LinkChange | Expect


@dataclass(frozen=True, slots=True)
class Scenario:
    """A game's sheet, and its steps in order of time."""

    path: Path
    sheet: GameSheet
    rules: RuleSet
    steps: tuple[Step, ...]


def read_scenario(path: Path) -> Scenario:
    """Reads a scenario file whole.

    Raises:
        ScenarioError: it can't be read or breaks its format.
    """
    try:
        text = path.read_text(encoding="utf-8")
    except OSError as error:
        raise ScenarioError(
            str(path), f"can't be read ({error.strerror})", "a scenario file"
        ) from error
    except UnicodeDecodeError as error:
        raise ScenarioError(str(path), "is no UTF-8 text", "JSON Lines") from error
    lines = text.split("\n")
    if lines[-1] == "":
        lines.pop()
    if not lines:
        raise ScenarioError(f"{path}:1", "the file is empty", "a scenario header")
    header = read_object(lines[0], f"{path}:1")
    sheet = _sheet(header, path)
    rules = rules_of(sheet)
    reader = _Steps(path, rules)
    for number, line in enumerate(lines[1:], start=2):
        reader.add(number, line)
    return Scenario(path, sheet, rules, reader.in_order())


def _sheet(header: StrictObject, path: Path) -> GameSheet:
    version = header.take("scenario", f"{VERSION}, the version")
    if type(version) is not int or version != VERSION:
        raise header.refusal(f"scenario is {shown(version)}", f"{VERSION}, the version")
    title = header.text("title")
    rules, rule_text = take_rules(header, path.parent)
    teams = header.inner("teams")
    pair = PerSide(_team(teams.inner("home")), _team(teams.inner("away")))
    teams.end("home and away")
    sheet = GameSheet(
        title=title,
        rules=rules.name,
        rule_text=rule_text,
        teams=pair,
        court=header.optional_text("court"),
        date=header.optional_text("date"),
        venue=header.optional_text("venue"),
        officials=take_officials(header),
    )
    header.end("scenario, title, rules, teams, court, date, venue, officials")
    return sheet


def _team(team: StrictObject) -> Team:
    name, colour, coach = (team.text(key) for key in ("name", "colour", "coach"))
    players = tuple(map(_player, team.items("players")))
    numbers = [player.number for player in players]
    for number in numbers:
        if numbers.count(number) > 1:
            raise team.refusal(
                f"{name} has two players with number {number}", "each number once"
            )
    if sum(player.starter for player in players) > MOST_STARTERS:
        raise team.refusal(f"{name} has too many starters", f"at most {MOST_STARTERS}")
    team.end("name, colour, coach, players")
    return Team(name, colour, coach, players)


def _player(player: StrictObject) -> Player:
    number = player.take_as(
        "number",
        "a number as text of 1 to 3 digits",
        lambda v: isinstance(v, str) and v.isascii() and v.isdigit() and len(v) <= 3,
    )
    name = player.text("name")
    starter = player.flag("starter")
    player.end("number, name, starter")
    return Player(str(number), name, starter)


class _Steps:
    """The lines after the header, read one by one."""

    def __init__(self, path: Path, rules: RuleSet) -> None:
        self._path = path
        self._kinds = FOUL_KINDS | {rule.kind for rule in rules.fouls.kinds}
        self._steps: list[Step] = []
        self._labels: dict[str, Seat] = {}

    def in_order(self) -> tuple[Step, ...]:
        """The steps in order of time; those of one time stay as they stand."""
        return tuple(sorted(self._steps, key=lambda step: step.t_ms))

    def add(self, line: int, text: str) -> None:
        """Reads one line."""
        step = read_object(text, f"{self._path}:{line}")
        t_ms = step.seconds("t", LATEST_S)
        if "link" in step:
            seat = Seat(step.one_of("link", SEATS))
            state = LinkState(step.one_of("state", tuple(LinkState)))
            step.end("t, link, state")
            self._steps.append(LinkChange(t_ms, seat, state))
        elif "expect" in step:
            self._steps.append(self._expect(step.inner("expect"), t_ms, line))
            step.end("t, expect")
        else:
            self._steps.append(self._enter(step, t_ms))

    def _enter(self, step: StrictObject, t_ms: int) -> Enter:
        seat = Seat(step.one_of("seat", SEATS))
        name = step.text("act")
        form = FORM_BY_NAME.get(name)
        if form is None or form not in SCENARIO_FORMS:
            raise step.refusal(f"act is {shown(name)}", "an act of a scenario")
        if seat not in form.seats:
            owners = " or ".join(s for s in SEATS if s in form.seats)
            raise step.refusal(f"{name} is no act of the {seat} seat", f"seat {owners}")
        label = step.text("label") if "label" in step else None
        if label in self._labels:
            raise step.refusal(f"label {label!r} is there twice", "a label of its own")
        act = self._strike(step, seat) if name == "strike" else self._act(step, name)
        if label is not None:
            self._labels[label] = seat
        return Enter(t_ms, seat, act, label)

    def _act(self, step: StrictObject, name: str) -> Act:
        if name == "set_clock":
            remaining_ms = step.seconds("remaining", LONGEST_PERIOD_MS // 1000)
            values: Mapping[str, object] = {**step.rest(), "remaining_ms": remaining_ms}
        else:
            values = step.rest()
        try:
            act = FORM_BY_NAME[name].read(values)
        except FieldError as error:
            raise step.refusal(error.what, error.expected) from error
        if isinstance(act, Foul) and act.kind not in self._kinds:
            raise step.refusal(
                f"kind of foul is {act.kind!r}", ", ".join(sorted(self._kinds))
            )
        return act

    def _strike(self, step: StrictObject, seat: Seat) -> StrikeOut:
        ref = step.text("ref")
        if self._labels.get(ref) is not seat:
            raise step.refusal(
                f"ref is {shown(ref)}", f"the label of an earlier {seat} entry"
            )
        step.end("t, seat, act, ref, label")
        return StrikeOut(ref)

    def _expect(self, wanted: StrictObject, t_ms: int, line: int) -> Expect:
        seats: tuple[Seat, ...] = SEATS
        if "seat" in wanted:
            seats = (Seat(wanted.one_of("seat", SEATS)),)
        findings = None
        if "findings" in wanted:
            findings = tuple(map(_expected_finding, wanted.items("findings")))
        expect = Expect(
            t_ms,
            line,
            seats,
            score=_pair(wanted, "score"),
            team_fouls=_pair(wanted, "team_fouls"),
            time_outs=_pair(wanted, "time_outs"),
            period=wanted.whole("period", 0, 20) if "period" in wanted else None,
            findings=findings,
        )
        wanted.end("seat, score, team_fouls, time_outs, period, findings")
        return expect


def _pair(wanted: StrictObject, key: str) -> PerSide[int] | None:
    if key not in wanted:
        return None
    sides = wanted.inner(key)
    pair = PerSide(sides.whole("home", 0, 999), sides.whole("away", 0, 999))
    sides.end("home and away")
    return pair


def _expected_finding(wanted: StrictObject) -> ExpectedFinding:
    sides = (None, *map(str, Side))
    side = wanted.take_as("side", '"home", "away" or null', lambda v: v in sides)
    finding = ExpectedFinding(
        Item(wanted.one_of("item", tuple(Item))),
        Side(side) if isinstance(side, str) else None,
        Cause(wanted.one_of("cause", tuple(Cause))),
        wanted.optional_text("book_entry") or None,
        wanted.optional_text("board_entry") or None,
    )
    wanted.end("item, side, cause, book_entry, board_entry")
    return finding
