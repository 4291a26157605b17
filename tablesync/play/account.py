"""A play as a readable account: every entry, findings set off, the box score."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.text import Text

from tablesync.box_score import RULINGS_PREVAIL, box_score, score_by_period
from tablesync.core.act_words import act_words, clock_words
from tablesync.core.acts import OpenPeriod, Seat, Side, Strike
from tablesync.core.finding_words import how_words, item_words
from tablesync.core.findings import Cleared, Raised, Revised
from tablesync.core.tally import Item, Mark, Tally, mark_of
from tablesync.play.happenings import (
    Checked,
    Ended,
    Entered,
    LinkChanged,
    Noticed,
    Unmet,
)
from tablesync.scenario import LinkState

if TYPE_CHECKING:
    from rich.console import Console

    from tablesync.core.acts import EntryId
    from tablesync.core.findings import CheckEvent, Finding
    from tablesync.core.game import Game
    from tablesync.play.happenings import Happening
    from tablesync.scenario import Scenario

__all__ = ["Account"]

_LINK_WORDS = {
    LinkState.DOWN: "is cut off; it goes on entering",
    LinkState.UP: "is back, and what it entered has arrived",
    LinkState.REPLACED: "goes on with a new device",
}


class Account:
    """Tells a play as it happens."""

    def __init__(self, console: Console, scenario: Scenario) -> None:
        self._console = console
        self._sheet = scenario.sheet
        self._rules = scenario.rules
        self._findings: dict[str, Finding] = {}
        self._words: dict[EntryId, str] = {}

    def begin(self) -> None:
        """Tells who plays, where and under which rules."""
        sheet = self._sheet
        home, away = sheet.teams.home, sheet.teams.away
        self._print(
            Text(
                f"{home.name} ({home.colour}) against {away.name} ({away.colour})",
                style="bold",
            )
        )
        court = f"court {sheet.court}" if sheet.court else ""
        place = [sheet.title, sheet.venue, court, sheet.date, self._rules.title]
        self._print(Text(" · ".join(part for part in place if part)))

    def tell(self, happening: Happening) -> None:
        """Tells one happening."""
        match happening:
            case Entered():
                self._entered(happening)
            case LinkChanged(_, seat, state):
                self._print(Text(f"  ~ the {seat} seat {_LINK_WORDS[state]}", "yellow"))
            case Checked(_, event):
                self._checked(event)
            case Noticed(_, notice):
                self._print(Text(f"  ! tell the referees: {notice.text}", "bold cyan"))
            case Unmet(_, expect, what):
                line = f"  ✗ not as line {expect.line} of the scenario expects: {what}"
                self._print(Text(line, "bold red"))
            case Ended(_, game):
                self._ended(game)

    def _print(self, text: Text) -> None:
        self._console.print(text, soft_wrap=True)

    def _entered(self, entered: Entered) -> None:
        entry, rules = entered.entry, self._rules
        if isinstance(entry.act, OpenPeriod) and entry.seat is Seat.BOOK:
            self._print(Text(f"\n{rules.period_title(entry.act.period)}", "bold"))
        shown = entered.clock
        clock = clock_words(shown.remaining_ms) if shown.period else ""
        words = act_words(entry.act, self._sheet, rules)
        if isinstance(entry.act, Strike):
            words = f"strikes out: {self._words[entry.act.target]}"
        self._words[entry.id] = words
        self._print(
            Text(
                f"  {clock:>5}  {entry.seat:<5}  {words:<34} {self._compared(entered)}"
            )
        )

    def _compared(self, entered: Entered) -> str:
        """What both records show for the item that the entry is about."""
        mark = mark_of(entered.entry.act, self._rules)
        if mark is None:
            return ""
        book = self._value(entered.book, mark)
        board = self._value(entered.board, mark)
        sign = "=" if book == board else self._sign(mark.item)
        return f"{item_words(mark.item):<10} book {book} {sign} {board} board"

    def _value(self, tally: Tally, mark: Mark) -> str:
        match mark.item, mark.side:
            case Item.SCORE, _:
                return f"{tally.score.home}:{tally.score.away}"
            case Item.TEAM_FOULS, Side() as side:
                return str(tally.fouls_in(tally.period, side))
            case Item.TIME_OUTS, Side() as side:
                return str(tally.time_outs[side])
            case Item.PERIOD, _:
                return str(tally.period)
            case _:
                return (
                    "none" if tally.arrow is None else self._sheet.colour(tally.arrow)
                )

    def _sign(self, item: Item) -> str:
        is_found = any(finding.item is item for finding in self._findings.values())
        return "≠" if is_found else "…"

    def _checked(self, event: CheckEvent) -> None:
        match event:
            case Raised(finding):
                self._findings[finding.id] = finding
                self._finding("≠ ", finding)
            case Revised(finding):
                self._findings[finding.id] = finding
                self._finding("≠ rather: ", finding)
            case Cleared() as cleared:
                finding = self._findings.pop(cleared.id)
                line = f"  ┃ = {how_words(cleared.how)} ({item_words(finding.item)})\n"
                self._print(Text(line, "green"))

    def _finding(self, sign: str, finding: Finding) -> None:
        self._print(Text(f"\n  ┃ {sign}{finding.text}\n", "bold red"))

    def _ended(self, game: Game) -> None:
        for table in (
            score_by_period(game),
            box_score(game, Side.HOME),
            box_score(game, Side.AWAY),
        ):
            self._console.print()
            self._console.print(table)
        count = len(game.open_findings())
        words = f"{count} open" if count else "none open: the records agree"
        self._console.print(f"\nFindings: {words}.\n{RULINGS_PREVAIL}")
