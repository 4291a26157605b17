"""A replay in a terminal: the listing of its steps, and the page of one moment."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.console import Group
from rich.table import Table
from rich.text import Text

from tablesync.box_score import RULINGS_PREVAIL
from tablesync.core.acts import Side
from tablesync.plain_text import printable
from tablesync.replay.lines import Line, Narrator, Sign
from tablesync.replay.moment_table import moment_rows
from tablesync.replay.moments import moment_words
from tablesync.replay.wording import seat_words

if TYPE_CHECKING:
    from tablesync.replay.replay import Moment, Replay

__all__ = ["moment_page", "step_text"]

AROUND = 3
"""How many steps are shown before and after a moment."""
_LOOKS = {
    Sign.ENTERED: (" ", ""),
    Sign.REACHING_BACK: ("↶", "yellow"),
    Sign.DIFFERS: ("≠", "bold red"),
    Sign.AGREES: ("=", "green"),
    Sign.TOLD: ("!", "cyan"),
}


def step_text(line: Line) -> Text:
    """One step as one line."""
    mark, style = _LOOKS[line.sign]
    number = f"#{line.number}" if line.number else ""
    seconds = f"+{line.at_s:.1f}"
    text = (
        f"{number:>5} {line.moment:>9} {seconds:>8}  {mark} {line.who:<7} {line.text}"
    )
    return Text(text, style)


def moment_page(replay: Replay, narrator: Narrator, moment: Moment) -> Group:
    """Both records side by side at a moment, what is open, and the steps around it."""
    at = moment_words(replay.reading(moment.at_ms), replay.rules)
    heading = f"at {at}, {narrator.at_s(moment):.1f} s after the first entry"
    findings = [Text(f"≠ {printable(one.text)}", "bold red") for one in moment.findings]
    first = max(1, moment.position - AROUND)
    last = min(len(replay.steps), moment.position + AROUND)
    around = []
    for position in range(first, last + 1):
        text = step_text(narrator.line(position))
        text.stylize("reverse" if position == moment.position else "dim")
        around.append(text)
    return Group(
        Text(heading, "bold"),
        _table(replay, narrator, moment),
        *(findings or [Text("no finding is open", "green")]),
        Text(),
        *around,
        Text(),
        Text(RULINGS_PREVAIL, "dim"),
    )


def _table(replay: Replay, narrator: Narrator, moment: Moment) -> Table:
    home, away = (replay.sheet.teams[side].name for side in Side)
    table = Table(caption=printable(f"{home} : {away}"), caption_justify="left")
    table.add_column("")
    for seat in replay.seats:
        table.add_column(seat_words(seat))
    for row in moment_rows(replay, narrator, moment):
        table.add_row(row.label, *row.cells, style="bold red" if row.differs else "")
    return table
