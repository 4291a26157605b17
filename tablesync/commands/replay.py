"""`tablesync replay`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, TypedDict, Unpack

import click

from tablesync.core.acts import Side
from tablesync.core.tally import Item

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tablesync.replay.filter import Filter
    from tablesync.replay.replay import Replay

__all__ = ["command"]


class Wanted(TypedDict):
    """The options by which steps are selected, as they were typed."""

    team: str | None
    player: str | None
    item: str | None
    finding: str | None
    period: int | None
    from_: str | None
    to: str | None


@click.command("replay")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--at", metavar="MOMENT", help="Only this moment, in full.")
@click.option("--team", type=click.Choice([str(side) for side in Side]))
@click.option("--player", metavar="NUMBER", help="A player's number.")
@click.option("--item", type=click.Choice([str(item) for item in Item]))
@click.option("--finding", metavar="ID", help="A finding or notice by its id.")
@click.option("--period", type=click.IntRange(1))
@click.option("--from", "from_", metavar="MOMENT", help="The first moment.")
@click.option("--to", metavar="MOMENT", help="The last moment.")
@click.option("--json", "as_json", is_flag=True, help="JSON Lines on standard output.")
@click.option("--list", "as_list", is_flag=True, help="List the steps, without keys.")
@click.option(
    "--picture",
    type=click.Path(path_type=Path),
    metavar="OUT",
    help="Draw the steps on two lanes, as SVG, or as PNG if OUT ends so.",
)
@click.option("--window", "in_window", is_flag=True, help="Open a window to scrub in.")
def command(
    file: Path,
    *,
    at: str | None,
    as_json: bool,
    as_list: bool,
    picture: Path | None,
    in_window: bool,
    **wanted: Unpack[Wanted],
) -> None:
    """Go through the game of a record FILE again.

    In a terminal, keys step through it; elsewhere its steps are listed. A MOMENT is a
    period and its clock ("2/3:07"), an entry of the listing ("#41"), or seconds after
    the first entry ("+184.5").
    """
    from tablesync.record.path import record_at, write_new
    from tablesync.replay.filter import selected
    from tablesync.replay.moments import moment_ms
    from tablesync.replay.replay import Replay

    opened = record_at(file)
    for fault in opened.faults:
        click.echo(f"{file}: {fault}", err=True)
    replay = Replay(opened.sheet, opened.rules, opened.history)
    at_ms = None if at is None else moment_ms(at, replay, "--at")
    positions = selected(replay, _filter(replay, wanted))
    if picture is not None:
        write_new(picture, _drawn(replay, positions, at_ms, picture))
        click.echo(f"The chart is in {picture}.", err=True)
    elif in_window:
        from tablesync.commands.screens import require_screens

        require_screens()
        from mobile.replay_window import open_replay

        open_replay(replay, positions, at_ms)
    elif at_ms is not None:
        _show_moment(replay, at_ms, as_json=as_json)
    elif as_json:
        _print_values(replay, positions)
    elif as_list or not (sys.stdin.isatty() and sys.stdout.isatty()):
        _print_lines(replay, positions)
    else:
        _step_through(replay, positions)


def _drawn(
    replay: Replay, positions: Sequence[int], at_ms: int | None, picture: Path
) -> bytes:
    from importlib.util import find_spec

    from tablesync.chart.page import chart_of
    from tablesync.chart.svg import svg
    from tablesync.errors import BadInputError

    chart = chart_of(replay, positions, at_ms)
    if picture.suffix.lower() != ".png":
        return svg(chart)
    if find_spec("PIL") is None or find_spec("font_roboto") is None:
        raise BadInputError(
            "--picture",
            "what writes PNG is not installed",
            'the extra "tablesync[paper]", or a name that ends in .svg',
        )
    from tablesync.paper.png import png

    return png(chart)


def _filter(replay: Replay, wanted: Wanted) -> Filter:
    from tablesync.replay.filter import Filter, require_finding
    from tablesync.replay.moments import moment_ms

    if wanted["finding"] is not None:
        require_finding(replay, wanted["finding"])
    from_, to = wanted["from_"], wanted["to"]
    return Filter(
        side=Side(wanted["team"]) if wanted["team"] else None,
        number=wanted["player"],
        item=Item(wanted["item"]) if wanted["item"] else None,
        finding=wanted["finding"],
        period=wanted["period"],
        from_ms=None if from_ is None else moment_ms(from_, replay, "--from"),
        to_ms=None if to is None else moment_ms(to, replay, "--to"),
    )


def _show_moment(replay: Replay, at_ms: int, *, as_json: bool) -> None:
    import json

    from rich.console import Console

    from tablesync.replay.lines import Narrator
    from tablesync.replay.values import moment_values
    from tablesync.replay.view import moment_page

    moment = replay.moment_at(at_ms)
    if as_json:
        click.echo(json.dumps(moment_values(replay, moment), ensure_ascii=False))
    else:
        Console().print(moment_page(replay, Narrator(replay), moment))


def _print_values(replay: Replay, positions: Sequence[int]) -> None:
    import json

    from tablesync.replay.lines import Narrator
    from tablesync.replay.values import step_values

    narrator = Narrator(replay)
    for position in positions:
        values = step_values(replay, narrator.line(position))
        click.echo(json.dumps(values, ensure_ascii=False))


def _print_lines(replay: Replay, positions: Sequence[int]) -> None:
    from rich.console import Console

    from tablesync.replay.lines import Narrator
    from tablesync.replay.view import step_text

    console, narrator = Console(), Narrator(replay)
    for position in positions:
        console.print(step_text(narrator.line(position)), soft_wrap=True)


def _step_through(replay: Replay, positions: Sequence[int]) -> None:
    from rich.console import Console

    from tablesync.replay.lines import Narrator
    from tablesync.replay.stepping import step_through

    step_through(Console(), replay, Narrator(replay), positions, click.getchar)
